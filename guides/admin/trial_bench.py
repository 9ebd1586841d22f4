"""The bench of a coffee in a brewer, and trials side by side."""

from __future__ import annotations

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.urls import URLPattern, path
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from guides.lifecycle import bench, learning
from guides.models import Brewer, Coffee, TrialBrew
from guides.presenters import bench_sheet, trial_compare
from guides.presenters.numbers import Figures
from guides.queries import benches, evidence

_NAME = "guides_trialbrew"
_LEAST, _MOST = 2, 6


class Benched(admin.ModelAdmin):
    """For trial brews."""

    def get_urls(self) -> list[URLPattern]:
        wrap = self.admin_site.admin_view
        return [
            path("bench/", wrap(self.bench_view), name=f"{_NAME}_bench"),
            path("compare/", wrap(self.compare_view), name=f"{_NAME}_compare"),
            *super().get_urls(),
        ]

    def bench_view(self, request: HttpRequest) -> HttpResponse:
        """Show the brews of a coffee in a brewer and what they teach; without both, which there are."""
        self._may_look(request)
        if "coffee" not in request.GET:
            pairs, are_more = (benches.pairs(), False) if "all" in request.GET else benches.latest()
            context = {**self._context(request, _("The dial-in bench")), "pairs": pairs, "are_more": are_more}
            return TemplateResponse(request, "guides/admin/benches.html", context)
        coffee = get_object_or_404(Coffee, pk=_key(request.GET["coffee"]))
        brewer = get_object_or_404(Brewer, pk=_key(request.GET.get("brewer", "")))
        learnt = bench.of(coffee.pk, brewer.pk)
        sheet = bench_sheet.build(learnt, Figures(get_language() or "en"), whole="all" in request.GET)
        title = _("Bench: %(coffee)s in the %(brewer)s") % {"coffee": coffee, "brewer": brewer}
        context = {**self._context(request, title), "sheet": sheet, "coffee": coffee, "brewer": brewer}
        return TemplateResponse(request, "guides/admin/bench.html", context)

    def compare_view(self, request: HttpRequest) -> HttpResponse:
        """Show two to six trials side by side."""
        self._may_look(request)
        keys = [_key(key) for key in dict.fromkeys(request.GET.getlist("trial"))]
        brews = evidence.whole(TrialBrew.objects.filter(pk__in=keys[:_MOST])).order_by("brewed_at", "pk")
        found = list(learning.learnt(list(brews)))
        context = self._context(request, _("Trials side by side"))
        if len(found) < _LEAST or len(keys) > _MOST:
            context["problem"] = _("Choose two to six trial brews on the bench; %(number)s were chosen.") % {
                "number": len(keys)
            }
            return TemplateResponse(request, "guides/admin/trial_compare.html", context, status=400)
        context["page"] = trial_compare.compare(found, Figures(get_language() or "en"))
        return TemplateResponse(request, "guides/admin/trial_compare.html", context)

    def _context(self, request: HttpRequest, title: str) -> dict[str, object]:
        may_log = self.has_add_permission(request)
        return {**self.admin_site.each_context(request), "title": title, "opts": self.opts, "may_log": may_log}

    def _may_look(self, request: HttpRequest) -> None:
        if not self.has_view_or_change_permission(request):
            raise PermissionDenied


def _key(text: str) -> int:
    if not (text.isdecimal() and len(text) < 10):
        raise Http404
    return int(text)
