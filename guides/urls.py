"""Public addresses. ``permanent`` ones are printed on bags and inserts; they are added to, never changed."""

from __future__ import annotations

from django.urls import include, path, re_path

from guides.api import schema
from guides.public import (
    api_page,
    asking,
    bags,
    brewing,
    embedding,
    finding,
    home_brews,
    media,
    offline,
    packs,
    screen,
    share,
    shelf,
    sites,
    tastings,
    views,
)

_PART = r"(?P<kind>pages|coffees|guides)-(?P<number>0|[1-9][0-9]{0,8})"

permanent = [
    re_path(r"^L/(?P<code>[^/]+)/?$", bags.scanned, name="bag"),
    re_path(r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/?$", bags.scanned, name="insert"),
    re_path(r"^[Ll]/(?P<code>[^/]+)/(?P<tail>[^/]+)/brew/?$", brewing.show),
    re_path(r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/brew$", brewing.show, name="brew_bag"),
    re_path(r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/brew/send$", home_brews.send, name="send_brew_bag"),
    re_path(r"^l/(?P<code>[^/]+)(?:/(?P<tail>[^/]+))?/?$", bags.scanned),
    re_path(r"^[Ll]/?$", bags.typed, name="typed"),
    re_path(r"^[Ss]/(?P<code>[^/]+)/(?P<tail>[^/]+)/?$", sites.scanned, name="site_sheet"),
    re_path(r"^[Tt]/(?P<token>[0-9A-Za-z-]+)/?$", tastings.scanned, name="tasting_code"),
    re_path(r"^01(?:/[\s\S]*)?\Z", packs.resolve, name="pack"),
    path(".well-known/gs1resolver", packs.describe, name="resolver"),
    path("api/v1/", include("guides.api.urls")),
    path("oembed", embedding.oembed, name="oembed"),
    path("sitemap.xml", finding.site_map, name="sitemap"),
    re_path(rf"^sitemap-{_PART}\.xml$", finding.site_map_part, name="sitemap_part"),
    path("robots.txt", finding.robots, name="robots"),
    re_path(r"^(?P<name>(?:pictures|clips)/[^/]+)$", media.stored, name="media"),
    path("sw.js", offline.worker, name="worker"),
    path("manifest.webmanifest", offline.manifest, name="manifest"),
    path("", views.front, name="front"),
]

# A guide, one of its revisions, and a step; 0 for the guide as a whole.
_STEP = r"(?P<guide>[1-9][0-9]{0,4})\.(?P<revision>[1-9][0-9]{0,4})/(?P<step>0|[1-9][0-9]?)"

# Under /<language>/.
localized = [
    path("", shelf.home, name="home"),
    re_path(r"^page/(?P<number>[2-9]|[1-9][0-9]{1,3})/$", shelf.home, name="home_page"),
    path("find/", shelf.find, name="find"),
    path("coffees/<slug:slug>/", views.coffee, name="coffee"),
    path("guides/<slug:slug>/", views.guide, name="guide"),
    path("new.xml", finding.feed, name="feed"),
    path("api/", api_page.explain, {"describe": schema.document}, name="api_page"),
    path("guides/<slug:slug>/card/", embedding.card, name="guide_card"),
    path("guides/<slug:slug>/brew/", brewing.show, name="brew"),
    path("guides/<slug:slug>/screen/", screen.show, name="screen"),
    path("guides/<slug:slug>/brew/send/", home_brews.send, name="send_brew"),
    path("guides/<slug:slug>/share-<slug:key>.png", share.picture, name="share_picture"),
    path("taste/", tastings.find, name="taste"),
    path("taste/<slug:token>/", tastings.taste, name="tasting"),
    path("numbers/", views.numbers, name="numbers"),
    path("numbers/constants/", views.constants, name="constants"),
    re_path(rf"^ask/{_STEP}/$", asking.ask, name="ask"),
    re_path(rf"^ask/{_STEP}/sent/$", asking.sent, name="asked"),
]
