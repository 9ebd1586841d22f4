"""The page of a trace, one up and one down, from a green lot, a roast or a packed lot."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.presenters import trace

from .acts import ActsAdmin


class Traced(ActsAdmin):
    """A model admin whose rows a trace can begin at: its form has the acts and a way to the trace."""

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.trace_view)
        return [path("<path:object_id>/trace/", view, name=self._trace_url()), *super().get_urls()]

    def _trace_url(self) -> str:
        return f"{self.opts.app_label}_{self.opts.model_name}_trace"

    def about(self, request: HttpRequest, obj: Any) -> dict[str, Any]:
        return {"trace": reverse(f"admin:{self._trace_url()}", args=[obj.pk])}

    def trace_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        obj = self.get_object(request, object_id)
        if obj is None:
            raise Http404
        if not self.has_view_or_change_permission(request, obj):
            raise PermissionDenied
        context = {
            **self.admin_site.each_context(request),
            "title": _("Trace"),
            "opts": self.opts,
            "original": obj,
            "back": self.change_address(obj),
            "trace": trace.of(obj),
            "made_at": timezone.now(),
            "media": self.media,
        }
        return TemplateResponse(request, "guides/admin/trace.html", context)
