"""Public addresses. ``permanent`` ones are printed on bags and inserts; they are added to, never changed."""

from __future__ import annotations

from django.urls import path, re_path

from guides.public import bags, views

permanent = [
    re_path(r"^L/(?P<code>[^/]+)/?$", bags.scanned, name="bag"),
    re_path(r"^L/(?P<code>[^/]+)/(?P<tail>[^/]+)/?$", bags.scanned, name="insert"),
    re_path(r"^l/(?P<code>[^/]+)(?:/(?P<tail>[^/]+))?/?$", bags.scanned),
    re_path(r"^[Ll]/?$", bags.typed, name="typed"),
    path("", views.front, name="front"),
]

# Under /<language>/.
localized = [
    path("", views.home, name="home"),
    path("coffees/<slug:slug>/", views.coffee, name="coffee"),
    path("guides/<slug:slug>/", views.guide, name="guide"),
    path("numbers/", views.numbers, name="numbers"),
]
