"""What changed since a card was printed, in a line or a few: for whoever holds the old one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, ngettext, override

from guides.calculations.plan import Action
from guides.lifecycle.snapshot import Snapshot

from . import changes, difference, step_matching
from .changes import Change
from .difference import StepChange
from .numbers import Figures

_MOST: Final = 6
_ARROW: Final = "\N{RIGHTWARDS ARROW}"


@dataclass(frozen=True)
class ShortDifference:
    """A sentence, and what it announces; ``lines`` is empty where the sentence says it all."""

    lead: str
    lines: tuple[str, ...] = ()


def between(card: Snapshot, page: Snapshot, language: str) -> ShortDifference:
    """Say what a reader of the card must know to brew as the page says, in the page's language.

    Args:
        card: the older revision.
        page: the revision that is shown.
        language: of the page.
    """
    with override(language):
        lines = tuple(map(str, _lines(card, page, Figures(language))))
        words_differ = card.words_in(language) != page.words_in(language)
        next_one = page.revision is not None and card.revision is not None and page.revision == card.revision + 1
        if not lines:
            return ShortDifference(_no_numbers(words_differ, next_one, page))
        lead = _lead(len(lines), next_one, page)
        if len(lines) > _MOST:
            rest = len(lines) - _MOST + 1
            more = ngettext("and %(n)d more", "and %(n)d more", rest) % {"n": rest}
            lines = (*lines[: _MOST - 1], more)
        return ShortDifference(lead, lines)


def _lead(count: int, next_one: bool, page: Snapshot) -> str:
    if next_one:
        return ngettext(
            "Revision %(revision)s changed this one number:", "Revision %(revision)s changed these numbers:", count
        ) % {"revision": page.revision}
    return ngettext("One number is other than on your card:", "These numbers are other than on your card:", count)


def _no_numbers(words_differ: bool, next_one: bool, page: Snapshot) -> str:
    if not words_differ:
        return gettext("Numbers and words are the same as on your card.")
    if next_one:
        return gettext("Revision %(revision)s changed words only; every number is the one on your card.") % {
            "revision": page.revision
        }
    return gettext("Only words are other than on your card; every number is the same.")


def _lines(card: Snapshot, page: Snapshot, figures: Figures) -> Iterator[str]:
    whole = list(changes.of_plan(card, page, figures))
    for change in whole:
        yield f"{change.label.lower()} {_arrow(change)}"
    water = any(change.key in ("water", "bypass", "ice") for change in whole)
    pairs = step_matching.match(card.plan.steps, page.plan.steps)
    for step in difference.steps(card, page, pairs, figures):
        yield from _step_lines(card, page, step, water)


def _step_lines(card: Snapshot, page: Snapshot, step: StepChange, water: bool) -> Iterator[str]:
    number = step.new_number or step.old_number
    if step.kind == "added":
        yield gettext("step %(number)s is new: %(act)s") % {"number": number, "act": step.act}
    elif step.kind == "removed":
        yield gettext("step %(number)s of the card is gone: %(act)s") % {"number": number, "act": step.act}
    elif step.kind == "moved":
        numbers = {"number": number, "old": step.old_number, "act": step.act}
        yield gettext("step %(number)s was step %(old)s: %(act)s") % numbers
    for change in step.changes:
        if not (water and change.key == "target" and _is_the_water(card, page, step)):
            what = {"number": number, "what": change.label, "change": _arrow(change)}
            yield gettext("step %(number)s: %(what)s %(change)s") % what


def _is_the_water(card: Snapshot, page: Snapshot, step: StepChange) -> bool:
    """The last reading of the scale is the water itself, which has its line already."""
    if step.old_number is None or step.new_number is None:
        return False
    was, now = card.plan.steps[step.old_number - 1], page.plan.steps[step.new_number - 1]
    if now.action is Action.ADD_BYPASS:
        return True
    return was.target_g == card.plan.water_g and now.target_g == page.plan.water_g


def _arrow(change: Change) -> str:
    """ "92 → 94 °C": a unit that both have is written once."""
    value, space, unit = change.old.rpartition("\N{NO-BREAK SPACE}")
    old = value if space and change.new.endswith(space + unit) else change.old
    return f"{old} {_ARROW} {change.new}"
