"""What the form of a trial brew asks, in which order, and how it calls what was not answered."""

from __future__ import annotations

from contextlib import suppress
from typing import Any, Final

from django.http import HttpRequest
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.models import Brewer, Lot, TrialBrew
from guides.presenters.numbers import Figures
from guides.queries import house

UNANSWERED: Final[dict[str, str | Promise]] = {
    "found": _("not tasted yet"),
    "balance": _("not tasted yet"),
    "wall": _("not looked at"),
    "bed": _("not looked at"),
    "sample": _("no drops taken"),
}
"""Choices that lie open as buttons, each with the word for an empty one: “none” is an answer to some of them."""

_Section = tuple[str | Promise | None, dict[str, Any]]
_WHICH: Final = ("intention", "lot", "version", "is_check_brew", ("brewed_at", "brewed_by"), ("repeats", "preset"))
_BREWED: Final = (
    "brewer",
    ("dose_g", "water_g", "bypass_g"),
    ("kettle_c", "grind_um"),
    ("water_used", "room_c"),
    ("hardness_mg_l", "alkalinity_mg_l"),
)
_WATER: Final = ("water_used", "hardness_mg_l", "alkalinity_mg_l")
_CLOCK: Final = (("first_drip_s", "opened_s", "drained_s"), "pours", "bed_c")
_CUP: Final[tuple[_Section, ...]] = (
    (_("Cup"), {"fields": ("cup_g", ("strength_percent", "last_drops_percent"), "sample")}),
    (_("Taste"), {"fields": ("found", "balance", "liking", "taste")}),
    (_("The spent bed"), {"fields": ("wall", "bed")}),
)
_BY_HAND: Final[tuple[_Section, ...]] = (
    (None, {"fields": _WHICH}),
    (_("What was brewed"), {"fields": _BREWED}),
    (_("Clock and scale"), {"fields": _CLOCK}),
    *_CUP,
)
_FILLED_IN: Final[tuple[_Section, ...]] = (
    *_CUP,
    (_("Clock and scale"), {"fields": _CLOCK, "classes": ("collapse",)}),
    (_("What was brewed"), {"fields": _BREWED, "classes": ("collapse",)}),
    (_("Which brew"), {"fields": _WHICH, "classes": ("collapse",)}),
)


def sections(request: HttpRequest, brew: TrialBrew | None) -> tuple[_Section, ...]:
    """Give the form's sections: after a planned brew the cup first, and what is filled in already folded away.

    What was sent and comes back lies open: no error is behind a fold.
    """
    if brew is None and not _is_filled(request):
        return _BY_HAND
    if request.method == "POST":
        return tuple((title, {"fields": options["fields"]}) for title, options in _FILLED_IN)
    return _FILLED_IN


def filled_in(request: HttpRequest, figures: Figures) -> str:
    """Say in a line what a new brew's folded sections hold; empty where they lie open."""
    if not _is_filled(request):
        return ""
    asked = request.GET
    lot = Lot.objects.filter(pk=_key(asked["lot"])).first()
    brewer = Brewer.objects.filter(pk=_key(asked["brewer"])).first()
    said = [str(row) for row in (lot, brewer) if row is not None]
    for name, write in (("dose_g", figures.grams), ("water_g", figures.grams), ("grind_um", figures.micrometres)):
        with suppress(ValueError, OverflowError):  # an address may hold anything
            said.append(write(float(asked.get(name, ""))))
    return " · ".join(said)


def usual_water(request: HttpRequest) -> dict[str, Any]:
    """Give the water a new brew most likely has: that of the brew it repeats, else the roastery's tap."""
    before = TrialBrew.objects.filter(pk=_key(request.GET.get("repeats", ""))).first()
    if before is not None:
        return {name: getattr(before, name) for name in _WATER}
    roastery = house.current()
    return {"hardness_mg_l": roastery.tap_hardness_mg_l, "alkalinity_mg_l": roastery.tap_alkalinity_mg_l}


def _is_filled(request: HttpRequest) -> bool:
    return {"lot", "brewer", "dose_g", "grind_um"} <= set(request.GET)


def _key(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else 0
