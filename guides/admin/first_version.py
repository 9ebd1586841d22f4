"""The form of a first version opens with a usual plan where one is wished for; nothing is saved by that."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest, HttpResponse

from . import beginning
from .beginning import Beginning


def begun(request: HttpRequest) -> Beginning | None:
    """Give what the form of this request opens with, if anything."""
    return getattr(request, "beginning", None)


class BegunFromAPlan(admin.ModelAdmin):
    """For the form of a new version."""

    def changeform_view(
        self,
        request: HttpRequest,
        object_id: str | None = None,
        form_url: str = "",
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        typed = request.POST if request.method == "POST" else request.GET
        if object_id is None and beginning.WISH in typed and self.has_add_permission(request):
            setattr(request, "beginning", beginning.begin(request, typed))  # noqa: B010
            # From here on a form is opened, not saved: with what was typed, and the plan where that was empty.
            request.method = "GET"
        return super().changeform_view(request, object_id, form_url, extra_context)

    def get_changeform_initial_data(self, request: HttpRequest) -> dict[str, Any]:
        opened = begun(request)
        return {**super().get_changeform_initial_data(request), **(opened.values if opened else {})}

    def get_formset_kwargs(self, request: HttpRequest, obj: Any, inline: Any, prefix: str) -> dict[str, Any]:
        opened, arguments = begun(request), super().get_formset_kwargs(request, obj, inline, prefix)
        return {**arguments, "initial": opened.steps} if opened else arguments

    def render_change_form(
        self,
        request: HttpRequest,
        context: dict[str, Any],
        add: bool = False,
        change: bool = False,
        form_url: str = "",
        obj: Any = None,
    ) -> HttpResponse:
        if add:
            context["offers"] = beginning.offers()
            context["begun"] = begun(request) is not None or request.method == "POST"
        return super().render_change_form(request, context, add, change, form_url, obj)
