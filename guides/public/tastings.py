"""Tasting blind on one's own phone: by a number, without account or cookie; notes once, and before the reveal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext, override
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from guides.choices import TastingKind
from guides.lifecycle import form_token, rate_limit
from guides.lifecycle.errors import Refused
from guides.lifecycle.form_token import FormToken, TokenRefused
from guides.lifecycle.rate_limit import Rate, TooMany
from guides.lifecycle.tastings.join import LONGEST_NAME, join, refuse_recalled
from guides.lifecycle.tastings.send import CANNOT_SAY, send
from guides.models import Taster, Tasting
from guides.models.cup_note import LONGEST_NOTE
from guides.presenters import tasting_addresses as addresses
from guides.presenters import tastings as presented
from guides.queries import house, tastings

from . import errors, guards, page, speaking
from .guards import Guard, Stopped

# A whole table sits behind one address; a number is guessed once in 900,000 tries.
_FINDING: Final = (Rate.parse("60/min"), Rate.parse("600/day"))
_SENDING: Final = (Rate.parse("60/min"), Rate.parse("600/hour"))
# How long a phone waits before it looks whether the cups are revealed.
LOOK_AGAIN_S: float = 4


@require_safe
def scanned(request: HttpRequest, token: str) -> HttpResponse:
    """Lead from the code on the table to the tasting, in a language of the phone."""
    if addresses.read(token) is None:
        return errors.not_found(request)
    with override(speaking.offered(request, house.current().languages)):
        return _go(reverse("tasting", args=[token.upper()]))


@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """Ask for the number of a tasting, and lead there."""
    number, wrong, status = request.GET.get("number", "").strip()[:12], "", 200
    if number:
        try:
            for rate in _FINDING:
                rate_limit.count(rate, "tasting_number", request.META["REMOTE_ADDR"])
            found = tastings.by_number(number)
            if found is not None:
                return _go(reverse("tasting", args=[addresses.token(found.number)]))
            wrong, status = gettext("No tasting has this number. Read it again from the table."), 404
        except TooMany:
            wrong, status = gettext("Too many tries from here. Wait a minute, or scan the code on the table."), 429
    return _show(request, "taste_find.html", {"number": number, "wrong": wrong}, "taste", {}, status)


@csrf_exempt  # there is no cookie to forge with; guards.check looks at the origin and the token
@require_http_methods(["GET", "HEAD", "POST"])
def taste(request: HttpRequest, token: str) -> HttpResponse:
    """A tasting to join, or one's own place at it."""
    signed = addresses.read(token)
    tasting = tastings.by_number(signed[0]) if signed else None
    if signed is None or tasting is None:
        return errors.not_found(request)
    if signed[1] is None:
        return _join(request, tasting, token)
    taster = tastings.taster(tasting, signed[1])
    return errors.not_found(request) if taster is None else _place(request, tasting, taster, token)


def _join(request: HttpRequest, tasting: Tasting, token: str) -> HttpResponse:
    context: dict[str, Any] = {"tasting": tasting, "longest": LONGEST_NAME, "name": request.POST.get("name", "")}

    def keep(proof: FormToken) -> Taster:
        return join(tasting, token=proof, name=context["name"])

    guard = Guard("tasting_join", f"tasting {tasting.pk}", _SENDING)
    return _form(request, guard, keep, "taste_join.html", context, token, closed=tasting.is_revealed)


def _place(request: HttpRequest, tasting: Tasting, taster: Taster, token: str) -> HttpResponse:
    cups = {cup.code: cup for cup in tasting.cups.all()}
    notes = {code: request.POST.get(f"note-{code}", "")[: 2 * LONGEST_NOTE] for code in taster.order}
    choice = request.POST.get("choice", "")
    context: dict[str, Any] = {
        "tasting": tasting,
        "taster": taster,
        "is_triangle": tasting.kind == TastingKind.TRIANGLE,
        "cups": [(code, notes[code]) for code in taster.order],
        "choice": choice,
        "cannot_say": CANNOT_SAY,
        "longest": LONGEST_NOTE,
        "look_again_s": LOOK_AGAIN_S,
        "stop": [str(each) for each in refuse_recalled(tasting.cups.all())],
    }
    if tasting.is_revealed:
        context["result"] = presented.result(tasting, speaking.of_address(house.current()))
        context["mine"] = [(code, presented.what_is_in(cups[code])) for code in taster.order]

    def keep(proof: FormToken) -> Taster:
        return send(taster, token=proof, notes=notes, choice=choice)

    guard = Guard("tasting_notes", f"taster {taster.pk}", _SENDING)
    closed = tasting.is_revealed or taster.sent_at is not None
    return _form(request, guard, keep, "taste_place.html", context, token, closed=closed)


def _form(
    request: HttpRequest,
    guard: Guard,
    keep: Callable[[FormToken], Taster],
    template: str,
    context: dict[str, Any],
    token: str,
    *,
    closed: bool,
) -> HttpResponse:
    """Show a form, or take what was typed into it; whatever stops it stands in the form with everything typed."""
    arguments = {"token": token.upper()}
    if request.method != "POST":
        context["token"] = "" if closed else form_token.issue(guard.purpose)
        return _show(request, template, context, "tasting", arguments)
    try:
        proof = guards.check(request, guard)
        try:
            taster = keep(proof)
        except TokenRefused as refused:
            raise guards.stopped_by(refused, guard) from refused
        except Refused as refused:
            context["wrong"] = [str(each) for each in refused.refusals]
            context["token"] = "" if closed else request.POST.get(guards.TOKEN_FIELD, "")
            return _show(request, template, context, "tasting", arguments, 409 if closed else 422)
    except Stopped as stopped:
        context |= {"stopped": stopped.message, "token": stopped.token}
        return stopped.mark(_show(request, template, context, "tasting", arguments, stopped.status))
    return _go(reverse("tasting", args=[addresses.token(taster.tasting.number, taster.seat)]))


def _go(href: str) -> HttpResponse:
    response = HttpResponseRedirect(href)
    response.status_code = 303
    response.headers["Cache-Control"] = "no-store"
    return response


def _show(
    request: HttpRequest,
    template: str,
    context: dict[str, Any],
    name: str,
    arguments: dict[str, str],
    status: int = 200,
) -> HttpResponse:
    roastery = house.current()
    response = page.show(
        request,
        template,
        context,
        house=roastery,
        language=speaking.of_address(roastery),
        links=page.links(roastery, name, **arguments),
        status=status,
        cache="no-store",
    )
    response.headers["X-Robots-Tag"] = "noindex"
    return response
