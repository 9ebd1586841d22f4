"""A version as customers will have it, for staff only: the page in a phone's frame, the insert, in every language."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import admin, messages
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils.translation import get_language_info
from django.utils.translation import gettext as _

from guides.calculations.validity import OutOfRange
from guides.documents.draft_insert import draft_pdf
from guides.documents.errors import InsertRefused
from guides.lifecycle import content
from guides.models import GuideVersion
from guides.queries import translating, versions

from . import preview

_NAME = "guides_guideversion_preview"


class Previewed(admin.ModelAdmin):
    """For versions."""

    def get_urls(self) -> list[URLPattern]:
        wrap, start = self.admin_site.admin_view, "<path:object_id>/preview/"
        return [
            path(start, wrap(self.preview_view), name=_NAME),
            path(f"{start}<slug:language>/", wrap(self.preview_page), name=f"{_NAME}_page"),
            path(f"{start}<slug:language>/insert.pdf", wrap(self.preview_insert), name=f"{_NAME}_insert"),
            *super().get_urls(),
        ]

    def preview_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        """Frame the page, with the way to every language and to the insert."""
        version = self._looked_at(request, object_id)
        shown = _languages(version)
        asked = request.GET.get("language", "")
        language = asked if asked in shown else version.language
        try:
            preview.sheet(version, language)
        except OutOfRange:
            return self._not_to_be_shown(request, version, content.refusals(version))
        context = {
            **self.admin_site.each_context(request),
            "title": _("Preview: %(state)s") % {"state": version.revision_label},
            "opts": self.opts,
            "original": version,
            "back": _desk(version),
            "language": language,
            "language_name": _name(language),
            "is_written": language in versions.languages(version),
            "languages": [(code, _name(code)) for code in shown],
        }
        response = TemplateResponse(request, "guides/admin/preview_frame.html", context)
        response._csp_update = {"frame-src": ["'self'"]}  # type: ignore[attr-defined]
        return response

    def preview_page(self, request: HttpRequest, object_id: str, language: str) -> HttpResponse:
        """Give the customers' page under its banner."""
        version = self._looked_at(request, object_id, language)
        try:
            response = preview.page(version, language, _desk(version))
        except OutOfRange:
            return self._not_to_be_shown(request, version, content.refusals(version))
        # Our own frame may show it, nobody else's.
        response._csp_replace = {"frame-ancestors": ["'self'"]}  # type: ignore[attr-defined]
        response["X-Frame-Options"] = "SAMEORIGIN"
        return response

    def preview_insert(self, request: HttpRequest, object_id: str, language: str) -> HttpResponse:
        """Give the insert of a version that is not published."""
        version = self._looked_at(request, object_id, language)
        if version.revision is not None:
            raise Http404
        try:
            pdf = draft_pdf(version, language)
        except OutOfRange:
            return self._not_to_be_shown(request, version, content.refusals(version))
        except InsertRefused as refused:
            return self._not_to_be_shown(request, version, refused.reasons)
        name = f"draft-{version.guide.number}.{language}.pdf"
        headers = {"Content-Disposition": f'inline; filename="{name}"'}
        return HttpResponse(pdf, content_type="application/pdf", headers=headers)

    def _looked_at(self, request: HttpRequest, object_id: str, language: str = "") -> GuideVersion:
        version = self.get_object(request, unquote(object_id))
        if not self.has_view_or_change_permission(request, version):
            raise PermissionDenied
        if version is None or (language and language not in _languages(version)):
            raise Http404
        return version

    def _not_to_be_shown(self, request: HttpRequest, version: GuideVersion, reasons: Iterable[object]) -> HttpResponse:
        for reason in reasons:
            self.message_user(request, str(reason), messages.ERROR)
        return HttpResponseRedirect(_desk(version))


def _languages(version: GuideVersion) -> list[str]:
    """Customers have the page in the roastery's languages, translated or not."""
    return [version.language, *translating.languages(version)]


def _name(language: str) -> str:
    return str(get_language_info(language)["name_translated"])


def _desk(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_change", args=[version.pk])
