"""Planning a trial and brewing it by the clock: two pages in front of the form that logs it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from guides.calculations.plan import Action
from guides.calculations.validity import OutOfRange
from guides.lifecycle import refusal_words, trial_snapshot
from guides.lifecycle.trial_plan import CHANGED, Intention, number
from guides.models import Brewer
from guides.presenters import brewing, numbers, trial_words
from guides.presenters.brew_sheet import BrewPage
from guides.presenters.numbers import Figures
from guides.queries import begin_from

from . import trial_asked
from .choosing import sends
from .finding import cleaned
from .trial_asked import PlanForm

_NAME = "guides_trialbrew"
_SOUGHT = "find"


class Planned(admin.ModelAdmin):
    """For trial brews."""

    def get_urls(self) -> list[URLPattern]:
        wrap = self.admin_site.admin_view
        return [
            path("plan/", wrap(self.plan_view), name=f"{_NAME}_plan"),
            path("brew/", wrap(self.brew_view), name=f"{_NAME}_brew"),
            *super().get_urls(),
        ]

    def plan_view(self, request: HttpRequest) -> HttpResponse:
        """Show what a trial sets out from, and what changing a number of it should do."""
        self._may_log(request)
        if not set(trial_asked.SOURCE) & set(request.GET):
            return self._begin(request)
        return self._plan(request, brew=False)

    def brew_view(self, request: HttpRequest) -> HttpResponse:
        """Show the plan by the clock; one that cannot be brewed goes back to its numbers."""
        self._may_log(request)
        return self._plan(request, brew=True)

    def _plan(self, request: HttpRequest, *, brew: bool) -> HttpResponse:
        try:
            out = trial_asked.setting_out(request.GET.dict())
        except OutOfRange as error:
            self.message_user(request, str(refusal_words.out_of_range(error).message), "ERROR")
            return HttpResponseRedirect(reverse(f"admin:{_NAME}_plan"))
        asked = {name: request.GET[name] for name in (*CHANGED, *sends("lot")) if name in request.GET}
        form = PlanForm(_filled(out, asked), source=out.source, coffee=out.lot.coffee_id)
        said: Intention | None = None
        problems: tuple[str, ...] = ()
        if form.is_valid():
            try:
                said = trial_asked.intended(request.GET.dict(), form.wishes(), form.cleaned_data["lot"])
                problems = trial_words.problems(said)
            except OutOfRange as error:
                name = error.argument if error.argument in form.fields else None
                form.add_error(name, str(refusal_words.out_of_range(error).message))
        if brew and said is not None and not problems and not form.errors:
            return self._brewing(request, said)
        return self._planning(request, out, form, said, problems)

    def _planning(
        self, request: HttpRequest, out: Intention, form: PlanForm, said: Intention | None, problems: tuple[str, ...]
    ) -> HttpResponse:
        figures = Figures(get_language() or "en")
        context = {
            **self.admin_site.each_context(request),
            "title": _("Plan a trial brew"),
            "opts": self.opts,
            "form": form,
            "source": trial_words.source(out, figures),
            "hidden": trial_asked.source_of(out),
            "changes": trial_words.changes(said, figures) if said else (),
            "effects": trial_words.effects(said, figures) if said and not problems else (),
            "problems": problems,
            "rows": [(form[name], trial_words.was(out, name, figures, said)) for name in form.fields if name != "lot"],
            "log_href": _log_address(said) if said else "",
        }
        return TemplateResponse(request, "guides/admin/trial_plan.html", context)

    def _brewing(self, request: HttpRequest, said: Intention) -> HttpResponse:
        language = get_language() or "en"
        kept = trial_snapshot.of(said, title=str(trial_words.title(said)), language=language)
        page = brewing.build(kept, language)
        back = {**trial_asked.source_of(said), "lot": str(said.lot.pk), **_numbers(said)}
        context = {
            "page": page,
            "language": language,
            "back": f"{reverse(f'admin:{_NAME}_plan')}?{urlencode(back)}",
            "log_href": _log_address(said),
            "trial_rows": _rows(page, said),
            "changes": trial_words.changes(said, Figures(language)),
            "unavailable": brewing.unavailable(),
        }
        return TemplateResponse(request, "guides/admin/trial_brewing.html", context)

    def _begin(self, request: HttpRequest) -> HttpResponse:
        sought = cleaned(request.GET.get(_SOUGHT))
        offered = begin_from.coffees(sought)
        brewers, figures = Brewer.objects.select_related("vessel"), Figures(get_language() or "en")
        context = {
            **self.admin_site.each_context(request),
            "title": _("Plan a trial brew"),
            "opts": self.opts,
            "coffees": trial_words.beginnings(offered.coffees, brewers, figures, with_lot=bool(sought)),
            "sought": sought,
            "sought_name": _SOUGHT,
            "more": offered.more,
        }
        return TemplateResponse(request, "guides/admin/trial_begin.html", context)

    def _may_log(self, request: HttpRequest) -> None:
        if not self.has_add_permission(request):
            raise PermissionDenied


def _filled(out: Intention, asked: dict[str, str]) -> dict[str, Any]:
    """What the form holds: the plan it sets out from, and over it what was asked."""
    return {"lot": out.lot.pk, **_numbers(out), **asked}


def _numbers(said: Intention) -> dict[str, str]:
    found = {name: number(said.plan, name) for name in CHANGED}
    return {
        name: numbers.clock(value) if name == "opened_s" else f"{value:g}"
        for name, value in found.items()
        if value is not None
    }


def _log_address(said: Intention) -> str:
    """The form that logs the trial, filled with what was planned."""
    weighed = {name: value for name, value in _numbers(said).items() if name != "opened_s"}
    known: dict[str, Any] = {
        "lot": said.lot.pk,
        "brewer": said.brewer.pk,
        **weighed,
        **({"version": said.version.pk} if said.version else {}),
        **({"repeats": said.repeats.pk} if said.repeats else {}),
        **({"preset": said.method.value} if said.method else {}),
        "intention": urlencode({**trial_asked.source_of(said), "lot": said.lot.pk, **_numbers(said)}),
    }
    return f"{reverse(f'admin:{_NAME}_add')}?{urlencode(known)}"


def _rows(page: BrewPage, said: Intention) -> dict[str, int]:
    """Which rows of the page are the moments that a trial keeps."""
    opens = (
        index
        for index, row in enumerate(page.rows)
        if row.step is not None and said.plan.steps[row.step].action is Action.OPEN
    )
    kinds = {row.kind: index for index, row in enumerate(page.rows)}
    return {"opened": next(opens, -1), "drip": kinds.get("drip", -1), "drained": kinds.get("drained", -1)}
