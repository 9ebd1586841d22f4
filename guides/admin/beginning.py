"""A first version begun from a usual plan: what is empty is filled in, what was typed stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _

from guides import choices
from guides.calculations.plan import Plan, Step
from guides.calculations.presets import Method
from guides.calculations.validity import OutOfRange
from guides.lifecycle import refusal_words, starting
from guides.models import Brewer, Guide

from .desk import MOST_ROWS

WISH = "plan"
"""Name of the wish in an address and of the buttons: method and brewer, such as ``pulses:3``."""
_NEUTRAL = {"", "0", "0.0"}


@dataclass(frozen=True)
class Offer:
    """One usual plan: ``wish`` names it, ``address`` opens a form that holds it."""

    label: str
    wish: str
    address: str


@dataclass(frozen=True)
class Beginning:
    """What a new form opens with."""

    values: dict[str, Any] = field(default_factory=dict)
    steps: list[dict[str, Any]] = field(default_factory=list)


def offers(guide: Guide | None = None) -> list[tuple[Brewer, list[Offer]]]:
    """Give the usual plans that fit each brewer."""
    brewers = Brewer.objects.select_related("vessel")
    return [
        (brewer, [_offer(method, brewer, guide) for method in methods]) for brewer, methods in starting.offered(brewers)
    ]


def begin(request: HttpRequest, typed: QueryDict) -> Beginning:
    """Fill a usual plan into what has been typed, and say what was done.

    Args:
        request: for the messages.
        typed: a posted form, or an address; its ``plan`` is the wish.
    """
    kept = {name: value for name, value in typed.items() if not name.startswith("steps-") and name != WISH}
    rows = list(_rows(typed))
    guide = Guide.objects.select_related("coffee").filter(pk=_number(typed.get("guide"))).first()
    method, brewer = _wished(typed.get(WISH, ""))
    if method is None or brewer is None:
        messages.warning(request, _("There is no such plan any more. Choose another."))
        return Beginning(kept, rows)
    dose_g, water_g = _grams(typed.get("dose_g")), _grams(typed.get("water_g"))
    try:
        plan = starting.plan_for(method, brewer, guide, dose_g=dose_g, water_g=water_g)
    except OutOfRange as error:
        messages.warning(request, _("Not filled in. %(why)s") % {"why": _why_not(error, method, brewer)})
        return Beginning(kept, rows)
    usual = {**_values(plan), "brewer": str(brewer.pk), "title": _title(guide, brewer)}
    stood = {name for name, value in kept.items() if value not in _NEUTRAL}
    values = {**kept, **{name: value for name, value in usual.items() if name not in stood}, "brewer": brewer.pk}
    said = _("Filled in: %(method)s in the %(brewer)s. What you had written stands as it was.")
    messages.success(request, said % {"method": choices.Method(method).label.lower(), "brewer": brewer})
    if rows:
        messages.warning(request, _("Your own steps stand; the plan’s were not put in."))
    return Beginning(values, rows or [_row(step, place) for place, step in enumerate(plan.steps, start=1)])


def _offer(method: Method, brewer: Brewer, guide: Guide | None) -> Offer:
    wish = f"{method}:{brewer.pk}"
    query = urlencode({**({"guide": guide.pk} if guide else {}), WISH: wish})
    return Offer(str(choices.Method(method).label), wish, f"{reverse('admin:guides_guideversion_add')}?{query}")


def _why_not(error: OutOfRange, method: Method, brewer: Brewer) -> str:
    if error.argument == "flow":
        named = {"method": choices.Method(method).label, "brewer": brewer}
        return _("“%(method)s” does not fit the %(brewer)s. Choose another brewer or another plan.") % named
    return str(refusal_words.out_of_range(error))


def _wished(wish: str) -> tuple[Method | None, Brewer | None]:
    name, _colon, key = wish.partition(":")
    method = next((method for method in Method if method == name), None)
    return method, Brewer.objects.select_related("vessel").filter(pk=_number(key)).first()


def _values(plan: Plan) -> dict[str, Any]:
    return {
        "dose_g": f"{plan.dose_g:g}",
        "water_g": f"{plan.water_g:g}",
        "bypass_g": f"{plan.bypass_g:g}",
        "bypass_to_taste": bool(plan.bypass_g),
        "ice_g": f"{plan.ice_g:g}",
        "kettle_c": f"{plan.kettle_c:g}",
        "grind_um": f"{plan.grind_um:g}",
        "valve_shut_at_start": plan.valve_shut_at_start,
    }


def _row(step: Step, place: int) -> dict[str, Any]:
    return {
        "position": place,
        "action": step.action.value,
        "anchor": step.anchor.value,
        "start_s": int(step.start_s),
        "end_s": int(step.end_s),
        "target_g": None if step.target_g is None else f"{step.target_g:g}",
        "height": step.height.value if step.height else "",
        "path": step.path.value if step.path else "",
        "turns": step.turns,
    }


def _title(guide: Guide | None, brewer: Brewer) -> str:
    return _("%(coffee)s in the %(brewer)s") % {"coffee": guide.coffee, "brewer": brewer} if guide else ""


def _rows(typed: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """Steps with anything in them, as they were typed."""
    count = min(_number(typed.get("steps-TOTAL_FORMS")), MOST_ROWS)
    for index in range(count):
        start = f"steps-{index}-"
        row = {name.removeprefix(start): value for name, value in typed.items() if name.startswith(start)}
        if any(row.get(name) for name in _WRITTEN) and not row.get("DELETE"):
            yield row


_WRITTEN = ("start_s", "end_s", "target_g", "turns", "height", "path", "simple", "in_depth", "why")


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 10 else 0


def _grams(text: str | None) -> float | None:
    try:
        mass = Decimal((text or "").replace(",", "."))
    except InvalidOperation:
        return None
    return float(mass) if mass.is_finite() and mass > 0 else None
