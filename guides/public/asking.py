"""A customer asks about a guide or one of its steps: a page of its own, without cookie, kept by nobody on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language, override
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from guides.lifecycle import form_token
from guides.lifecycle.errors import Refused
from guides.lifecycle.form_token import TokenRefused
from guides.lifecycle.questions import ask as asks
from guides.lifecycle.rate_limit import Rate
from guides.models import GuideVersion, Lot, Roastery
from guides.presenters import asked, guide_sheet
from guides.presenters.addresses import Edition
from guides.queries import house, lots, versions

from . import guards, page, speaking
from .guards import Guard, Stopped

RATES: Final = (Rate.parse("30/min"), Rate.parse("60/hour"))
_FIELD: Final = "question"


@dataclass(frozen=True)
class Place:
    """What somebody asks about: a version, a step of it or none, and the bag in their hand if they scanned one."""

    house: Roastery
    language: str
    version: GuideVersion
    step: int | None
    lot: Lot | None
    code: str

    @property
    def guard(self) -> Guard:
        edition = f"{self.version.guide.number}.{self.version.revision}/{self.step or 0}"
        return Guard("question", f"question {edition}", RATES)

    def address(self, name: str) -> str:
        """An address about this place, in its language, with the bag."""
        bag = "?" + urlencode({"bag": self.code}) if self.lot else ""
        return self.links(name)[self.language] + bag

    def links(self, name: str) -> dict[str, str]:
        """The same by language, without the bag: what a reader has asked for is kept when they change the language."""
        edition = {"guide": self.version.guide.number, "revision": self.version.revision, "step": self.step or 0}
        return page.links(self.house, name, **{key: str(value) for key, value in edition.items()})

    def back(self) -> str:
        """The guide it was asked from, at that step."""
        step = f"#step-{self.step}" if self.step else ""
        if self.lot:
            edition = Edition(self.version.guide.number, self.version.revision or 0, self.language)
            return reverse("insert", args=[self.code, edition]) + step
        with override(self.language):
            return reverse("guide", kwargs={"slug": self.version.guide.slug}) + step


@csrf_exempt  # there is no cookie to forge with; guards.check looks at the origin and the token
@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: HttpRequest, guide: str, revision: str, step: str) -> HttpResponse:
    """Show the form with the step's own words, or take what was written into it."""
    place = _place(request, guide, revision, step)
    if request.method != "POST":
        return _form(request, place, form_token.issue(place.guard.purpose))
    text = request.POST.get(_FIELD, "")
    try:
        token = guards.check(request, place.guard)
        asks.ask(place.version, text=text, language=place.language, step=place.step, lot=place.lot, token=token)
    except Stopped as stopped:
        return _stopped(request, place, stopped, text)
    except TokenRefused as refused:
        return _stopped(request, place, guards.stopped_by(refused, place.guard), text)
    except Refused as refused:
        sent_token = request.POST.get(guards.TOKEN_FIELD, "")
        return _form(request, place, sent_token, text=text, wrong=refused.refusals, status=422)
    response = HttpResponseRedirect(place.address("asked"))
    response.status_code = 303
    response.headers["Cache-Control"] = "no-store"
    return response


@require_safe
def sent(request: HttpRequest, guide: str, revision: str, step: str) -> HttpResponse:
    """Say what happens now."""
    return _show(request, "asked.html", _place(request, guide, revision, step), "asked", {})


def _place(request: HttpRequest, guide: str, revision: str, step: str) -> Place:
    version = versions.printed(int(guide), int(revision))
    if version is None or int(step) > len(version.steps.all()):
        raise Http404
    roastery, code = house.current(), request.GET.get("bag", "")
    lot = lots.by_code(code)
    if lot is None or lot.is_recalled or not lot.is_public or lot.coffee_id != version.guide.coffee_id:
        lot, code = None, ""
    language = speaking.offered(request, roastery.languages, get_language())
    return Place(roastery, language, version, int(step) or None, lot, code)


def _stopped(request: HttpRequest, place: Place, stopped: Stopped, text: str) -> HttpResponse:
    return stopped.mark(_form(request, place, stopped.token, text=text, stopped=stopped.message, status=stopped.status))


def _form(request: HttpRequest, place: Place, token: str, *, status: int = 200, **shown: Any) -> HttpResponse:
    answers = asked.beside(place.version, place.language).at(place.step)
    context = {"token": token, "answers": answers, "action": place.address("ask"), **shown}
    return _show(request, "ask.html", place, "ask", context, status=status)


def _show(
    request: HttpRequest, template: str, place: Place, name: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    sheet = guide_sheet.build(place.version, language=place.language, today=timezone.localdate())
    response = page.show(
        request,
        template,
        {"sheet": sheet, "step": sheet.steps[place.step - 1] if place.step else None, "back": place.back(), **context},
        house=place.house,
        language=place.language,
        links=place.links(name),
        status=status,
        cache="no-store",
    )
    response.headers["X-Robots-Tag"] = "noindex"
    return response
