"""The form of a first version opens with a usual plan where one is wished for; nothing is saved by that."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse

from . import beginning
from .beginning import Beginning
from .row_page import RowPage


def begun(request: HttpRequest) -> Beginning | None:
    """Give what the form of this request opens with, if anything."""
    return getattr(request, "beginning", None)


class BegunFromAPlan(RowPage):
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

    def beside(self, request: HttpRequest, obj: Any | None) -> dict[str, Any]:
        shown = super().beside(request, obj)
        if obj is not None:
            return shown
        opened = begun(request) is not None or request.method == "POST"
        return {**shown, "offers": beginning.offers(), "begun": opened}
