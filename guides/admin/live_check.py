"""The check beside a draft's form: of what is typed, asked for by the page while somebody writes; nothing is saved."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import admin
from django.contrib.admin.utils import flatten_fieldsets, unquote
from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse

from guides.calculations.validity import OutOfRange
from guides.choices import OPEN_STATES
from guides.lifecycle.plan_of import plan_of
from guides.models import GuideVersion

from . import check_panel, openings, typed
from .openings import DRIP, OPEN_AT

CHECK = "_check"
"""Name of the button that saves and shows the check, for those without scripts."""


class LiveCheck(admin.ModelAdmin):
    """For the form of a version."""

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.check_view)
        return [
            path("check/", view, name="guides_guideversion_check_new"),
            path("<path:object_id>/check/", view, name="guides_guideversion_check"),
            *super().get_urls(),
        ]

    def check_view(self, request: HttpRequest, object_id: str | None = None) -> HttpResponse:
        if request.method != "POST":
            return HttpResponseNotAllowed(["POST"])
        obj = None if object_id is None else self.get_object(request, unquote(object_id))
        if object_id is not None and obj is None:
            raise Http404
        if not (self.has_change_permission(request, obj) if obj else self.has_add_permission(request)):
            raise PermissionDenied
        panel = check_panel.of_typed(self._typed(request, obj), request.POST.get(DRIP, ""))
        return TemplateResponse(request, "guides/admin/check_result.html", {"check": panel})

    def _typed(self, request: HttpRequest, obj: GuideVersion | None) -> typed.Typed:
        fields = flatten_fieldsets(self.get_fieldsets(request, obj))
        form_class = self.get_form(request, obj, change=obj is not None, fields=fields)
        form = form_class(request.POST, instance=obj)
        formsets, _inlines = self._create_formsets(request, form.instance, change=obj is not None)  # type: ignore[attr-defined]
        return typed.read(form, formsets[0])

    def changeform_view(
        self,
        request: HttpRequest,
        object_id: str | None = None,
        form_url: str = "",
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        if request.method == "POST" and OPEN_AT in request.POST:
            self._move_opening(request, object_id)
        return super().changeform_view(request, object_id, form_url, extra_context)

    def _move_opening(self, request: HttpRequest, object_id: str | None) -> None:
        """Without scripts an opening is put into the steps on their way to being saved."""
        obj = None if object_id is None else self.get_object(request, unquote(object_id))
        wanted, read = request.POST[OPEN_AT], self._typed(request, obj)
        if not wanted.isdecimal() or read.steps is None or "brewer" in read.broken:
            return
        try:
            rows = openings.rows_for(plan_of(read.version, read.steps), read.prefixes, float(wanted[:5]))
        except OutOfRange:  # the page that comes back says so
            return
        posted = request.POST.copy()
        for name, value in rows.items():
            posted[name] = value
        request.POST = posted  # type: ignore[assignment]

    def response_add(
        self, request: HttpRequest, obj: GuideVersion, post_url_continue: str | None = None
    ) -> HttpResponse:
        return self._to_check(request, obj) or super().response_add(request, obj, post_url_continue)

    def response_change(self, request: HttpRequest, obj: Model) -> HttpResponse:
        return self._to_check(request, obj) or super().response_change(request, obj)

    def _to_check(self, request: HttpRequest, obj: Model) -> HttpResponse | None:
        if not {CHECK, OPEN_AT} & set(request.POST):
            return None
        drip = request.POST.get(DRIP, "")
        query = f"?{urlencode({DRIP: drip})}" if drip else ""
        return HttpResponseRedirect(reverse("admin:guides_guideversion_change", args=[obj.pk]) + query + "#check")

    def render_change_form(
        self,
        request: HttpRequest,
        context: dict[str, Any],
        add: bool = False,
        change: bool = False,
        form_url: str = "",
        obj: GuideVersion | None = None,
    ) -> HttpResponse:
        if obj is None:
            context["check"] = check_panel.Panel()
            context["check_address"] = reverse("admin:guides_guideversion_check_new")
        elif obj.state in OPEN_STATES:
            context["check"] = check_panel.of(obj, request.GET.get(DRIP, ""))
            if self.has_change_permission(request, obj):
                context["check_address"] = reverse("admin:guides_guideversion_check", args=[obj.pk])
                if request.method == "GET":
                    check_panel.say_beside_fields(context)
        return super().render_change_form(request, context, add, change, form_url, obj)
