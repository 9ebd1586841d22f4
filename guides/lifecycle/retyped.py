"""Finds numbers of the plan that somebody has typed into words again, where they would be left behind when it changes.

Digits are looked for, not numbers in words: "one turn" is how people speak. A digit that is no number of the plan may
stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.models import GuideVersion, Step, StepText, VersionText

from .errors import Refusal

_NUMBER = re.compile(r"(?<![\w.,:])(?P<clock>\d{1,3}:\d{2})(?![\d:])|(?<![\w.,:])(?P<plain>\d+(?:[.,]\d+)?)(?![\d:])")
_OF_VERSION = (
    "dose_g", "water_g", "bypass_g", "ice_g", "kettle_c", "grind_um", "server_ml",
    "strength_low_percent", "strength_high_percent", "extraction_percent",
)  # fmt: skip
_SMALL = 10
"""Below this a digit is rather a count of something than a number of the plan, except a step's own turns."""


def refusals(version: GuideVersion, steps: Iterable[Step] | None = None) -> list[Refusal]:
    """Why the words a version was written in cannot go out: each number of the plan that one of them repeats.

    ``steps`` are those of a form that is not saved yet.
    """
    steps = list(version.steps.all() if steps is None else steps)
    found = [refusal(getattr(version, name), name, version, steps) for name in VersionText.TEXTS]
    for place, step in enumerate(steps):
        found += [refusal(getattr(step, name), name, version, steps, place) for name in StepText.TEXTS]
    return [one for one in found if one is not None]


def refusal(text: str, name: str, version: GuideVersion, steps: list[Step], place: int | None = None) -> Refusal | None:
    """Why one text cannot stay; ``None`` if it may.

    Args:
        text: as typed.
        name: its column.
        version: the plan.
        steps: the plan's steps, in order.
        place: of the step the text belongs to; ``None`` for the version's own.
    """
    # "Outer Mark 81" is what the coffee is called, whatever the scale shows.
    for own_name in (version.guide.coffee.name, version.brewer.name):
        text = text.replace(own_name, " ")
    known = dict(_numbers(version, steps))
    turns = None if place is None else steps[place].turns
    for token in _NUMBER.finditer(text):
        what = _clocks(steps).get(token["clock"]) if token["clock"] else _plain(token["plain"], known, turns)
        if what is not None:
            return Refusal(
                format_lazy(
                    _(
                        "“{number}” repeats a number of the plan ({what}). It stands beside the words by itself, "
                        "in every language: say it without."
                    ),
                    number=token.group(),
                    what=what,
                ),
                field=name,
                step=place,
            )
    return None


def _plain(token: str, known: dict[Decimal, str | Promise], turns: int | None) -> str | Promise | None:
    number = Decimal(token.replace(",", "."))
    if turns is not None and number == turns:
        return _("turns")
    return known.get(number) if number >= _SMALL or number % 1 else None


def _numbers(version: GuideVersion, steps: list[Step]) -> Iterator[tuple[Decimal, str | Promise]]:
    for place, step in enumerate(steps, start=1):
        if step.target_g is not None:
            yield Decimal(step.target_g), format_lazy(_("step {number}: scale shows"), number=place)
    for name in _OF_VERSION:
        value = getattr(version, name)
        if value is not None:
            yield Decimal(value), version._meta.get_field(name).verbose_name  # type: ignore[union-attr]


def _clocks(steps: list[Step]) -> dict[str, str | Promise]:
    return {
        f"{second // 60}:{second % 60:02d}": format_lazy(_("time of step {number}"), number=place)
        for place, step in enumerate(steps, start=1)
        for second in (step.start_s, step.end_s)
    }
