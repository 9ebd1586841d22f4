"""Brews that customers sent: to read, and to delete."""

from typing import Any

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import URLPattern, path
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.home_brew import KEPT_DAYS
from guides.models import HomeBrew
from guides.presenters import crowd, numbers
from guides.queries import crowd as stored

from .desk import Desk
from .period import by_period


@admin.register(HomeBrew)
class HomeBrewAdmin(Desk):
    change_list_template = "guides/admin/home_brews.html"
    list_display = ("sent_at", "version", "lot", "dose_g", "grind_um", "drained")
    list_filter = ("language", by_period("sent_at"), "version__guide")
    list_select_related = ("version", "lot")
    search_fields = ("text",)
    fields = readonly_fields = (
        "version",
        "lot",
        "sent_at",
        "language",
        "dose_g",
        "grind_um",
        "grinder",
        "brewer",
        "drained",
        "text",
    )

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.crowd_view)
        return [path("crowd/", view, name="guides_homebrew_crowd"), *super().get_urls()]

    def crowd_view(self, request: HttpRequest) -> HttpResponse:
        """Show every version's brews as a crowd, by grinder, beside its window."""
        if not self.has_view_permission(request):
            raise PermissionDenied
        names, language = stored.grinder_names(), get_language() or "en"
        context = {
            **self.admin_site.each_context(request),
            "title": _("As a crowd"),
            "opts": self.opts,
            "kept_days": KEPT_DAYS,
            "crowds": [crowd.of_version(version, brews, names, language) for version, brews in stored.by_version()],
        }
        return TemplateResponse(request, "guides/admin/crowd.html", context)

    @admin.display(description=_("drained"), ordering="drained_s")
    def drained(self, brew: HomeBrew) -> str:
        return "" if brew.drained_s is None else numbers.clock(brew.drained_s)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
