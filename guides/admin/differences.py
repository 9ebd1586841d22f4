"""The page that shows how two versions of a guide differ."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import admin
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.calculations.validity import OutOfRange
from guides.lifecycle import snapshot
from guides.lifecycle.snapshot import Snapshot
from guides.models import GuideVersion
from guides.presenters import difference
from guides.presenters.difference import Difference
from guides.queries import versions


@dataclass(frozen=True)
class Compared:
    """Two versions and how they differ; ``difference`` is ``None`` where a draft has a number that no brew has."""

    old: GuideVersion
    new: GuideVersion
    difference: Difference | None


def compared(old: GuideVersion, new: GuideVersion) -> Compared:
    """Compare two versions as they were published, or as their draft is saved."""
    try:
        found = difference.between(_snapshot(old), _snapshot(new), get_language() or new.language)
    except OutOfRange:
        found = None
    return Compared(old, new, found)


def _snapshot(version: GuideVersion) -> Snapshot:
    return snapshot.read(version) if version.snapshot is not None else snapshot.of(version)


def address(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_difference", args=[version.pk])


class ChoiceForm(forms.Form):
    """Two versions of one guide."""

    old = forms.ModelChoiceField(GuideVersion.objects.none(), label=_("From"))
    new = forms.ModelChoiceField(GuideVersion.objects.none(), label=_("To"))

    def __init__(self, *args: Any, version: GuideVersion, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("old", "new"):
            self.fields[name].queryset = GuideVersion.objects.filter(guide=version.guide_id)  # type: ignore[attr-defined]


class Differences(admin.ModelAdmin):
    """Adds the page to the versions; whoever may look at a version may compare it."""

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.difference_view)
        return [path("<path:object_id>/difference/", view, name="guides_guideversion_difference"), *super().get_urls()]

    def difference_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        version = self.get_object(request, unquote(object_id))
        if not self.has_view_or_change_permission(request, version):
            raise PermissionDenied
        if version is None:
            raise Http404
        wanted = request.GET if {"old", "new"} & set(request.GET) else None
        before = _before(version)
        form = ChoiceForm(wanted, version=version, initial={"old": before and before.pk, "new": version.pk})
        pair: Compared | None = None
        if wanted is None and before is not None:
            pair = compared(before, version)
        elif form.is_valid():
            pair = compared(*(versions.by_id(form.cleaned_data[name].pk) for name in ("old", "new")))
        context = {
            **self.admin_site.each_context(request),
            "title": _("Difference"),
            "opts": self.opts,
            "original": version,
            "form": form,
            "pair": pair,
            "back": reverse("admin:guides_guideversion_change", args=[version.pk]),
        }
        return TemplateResponse(request, "guides/admin/difference_page.html", context)


def _before(version: GuideVersion) -> GuideVersion | None:
    """What a version is compared with unasked: the revision before it, or for a draft the newest one."""
    earlier = versions.history_whole(version.guide)
    if version.revision is not None:
        earlier = earlier.filter(revision__lt=version.revision)
    return earlier.first()
