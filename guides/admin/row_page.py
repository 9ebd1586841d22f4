"""What the page of a row shows beside its form: said in one place, whoever has something to add."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest, HttpResponse


class RowPage(admin.ModelAdmin):
    """Asks ``beside`` for what its page shows; each class adds its own to that of the next."""

    def render_change_form(
        self,
        request: HttpRequest,
        context: dict[str, Any],
        add: bool = False,
        change: bool = False,
        form_url: str = "",
        obj: Any = None,
    ) -> HttpResponse:
        context |= self.beside(request, obj)
        return super().render_change_form(request, context, add, change, form_url, obj)

    def beside(self, request: HttpRequest, obj: Any | None) -> dict[str, Any]:
        """Give what the page of a row shows beside its form; the row is ``None`` while one is added."""
        return {}
