"""Addresses of the API. What is here stays; what breaks it gets another number."""

from __future__ import annotations

from django.urls import include, path, re_path

from . import evidence, sheets, views, webhooks
from .description import DescriptionView
from .view import Nothing

app_name = "api"

# What the description lists.
_listed = [
    path("", views.IndexView.as_view(), name="index"),
    path("roastery", views.RoasteryView.as_view(), name="roastery"),
    path("coffees", views.CoffeesView.as_view(), name="coffees"),
    path("coffees/<int:id>", views.CoffeeView.as_view(), name="coffee"),
    path("lots", views.LotsView.as_view(), name="lots"),
    path("lots/<str:name>", views.LotView.as_view(), name="lot"),
    path("guides", views.GuidesView.as_view(), name="guides"),
    path("guides/<int:number>", views.GuideView.as_view(), name="guide"),
    path("guides/<int:number>/sheet", sheets.SheetView.as_view(), name="sheet"),
    path("guides/<int:number>/versions", views.VersionsView.as_view(), name="versions"),
    path("guides/<int:number>/versions/<int:revision>", views.VersionView.as_view(), name="version"),
    path("guides/<int:number>/versions/<int:revision>/sheet", sheets.VersionSheetView.as_view(), name="version_sheet"),
    path("guides/<int:number>/evidence", evidence.EvidenceView.as_view(), name="evidence"),
    path("webhooks", webhooks.WebhooksView.as_view(), name="webhooks"),
    path("webhooks/<int:id>", webhooks.WebhookView.as_view(), name="webhook"),
    path("changes", views.ChangesView.as_view(), name="changes"),
]
described = [path("api/v1/", include((_listed, app_name)))]

urlpatterns = [
    *_listed,
    path("openapi.json", DescriptionView.as_view(), name="openapi"),
    # Whatever else begins like ours, line breaks and all, is told so as a problem.
    re_path(r"^(?P<rest>[\s\S]+)\Z", Nothing.as_view(), name="nothing"),
]
