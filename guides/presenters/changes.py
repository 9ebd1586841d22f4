"""Numbers as old → new, with the difference between them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext, pgettext

from guides.lifecycle.snapshot import Snapshot

from .numbers import Figures
from .sheet import Fact

MINUS = "\N{MINUS SIGN}"
Show = Callable[[float], str]


@dataclass(frozen=True)
class Change:
    """One figure: ``old`` and ``new`` as read, ``by`` the signed difference, empty where there is none to tell."""

    key: str
    label: str
    old: str
    new: str
    by: str = ""


def of_plan(old: Snapshot, new: Snapshot, figures: Figures) -> Iterator[Change]:
    """Give what changed in the numbers of the whole plan, in the order a card has them."""
    one, other = old.plan, new.plan
    if old.brewer.name != new.brewer.name:
        yield Change("brewer", gettext("Brewer"), old.brewer.name, new.brewer.name)
    masses = (
        ("dose", gettext("Coffee"), one.dose_g, other.dose_g),
        ("water", gettext("Water"), one.water_g, other.water_g),
        ("bypass", gettext("Water in the cup"), one.bypass_g, other.bypass_g),
        ("ice", gettext("Ice"), one.ice_g, other.ice_g),
    )
    for key, label, was, now in masses:
        yield from number(key, label, was, now, figures.grams)
    if one.bypass_to_taste != other.bypass_to_taste:
        yield Change("to_taste", gettext("To taste"), _yes(one.bypass_to_taste), _yes(other.bypass_to_taste))
    yield from number("kettle", gettext("Kettle"), one.kettle_c, other.kettle_c, figures.celsius)
    yield from number("grind", gettext("Grind"), one.grind_um, other.grind_um, figures.micrometres)
    if one.valve_shut_at_start != other.valve_shut_at_start:
        words = _valve(one.valve_shut_at_start), _valve(other.valve_shut_at_start)
        yield Change("valve", gettext("Valve at the start"), *words)
    yield from number("server", gettext("Server at least"), old.server_ml, new.server_ml, figures.millilitres)
    yield from _promises(old, new, figures)


def number(key: str, label: str, old: float | None, new: float | None, show: Show) -> Iterator[Change]:
    """Give a change if there is one to be read; a figure that one side lacks shows as a dash."""
    before, after = _shown(old, show), _shown(new, show)
    if before != after:
        yield Change(key, label, before, after, signed(new - old, show) if old is not None and new is not None else "")


def signed(difference: float, show: Show) -> str:
    """Write a difference with its sign."""
    return ("+" if difference > 0 else MINUS) + show(abs(difference))


def of_facts(old: Iterator[Fact], new: Iterator[Fact]) -> Iterator[Change]:
    """Give the named figures that read otherwise; one that either side lacks shows as a dash."""
    before, after = {fact.key: fact for fact in old}, {fact.key: fact for fact in new}
    for key in dict.fromkeys([*before, *after]):
        was, now = before.get(key), after.get(key)
        if (was and was.value) != (now and now.value):
            label = now.label if now else was.label if was else ""
            yield Change(key, label, was.value if was else _NOTHING, now.value if now else _NOTHING)


_NOTHING = "\N{EN DASH}"


def _promises(old: Snapshot, new: Snapshot, figures: Figures) -> Iterator[Change]:
    was, now = old.targets, new.targets
    before, after = (_strength(low, high, figures) for low, high in (
        (was.strength_low, was.strength_high), (now.strength_low, now.strength_high),
    ))  # fmt: skip
    if before != after:
        yield Change("strength", gettext("Strength"), before, after)
    yield from number(
        "extraction", gettext("Extraction"), was.extraction, now.extraction, lambda value: figures.percent(value, 1)
    )


def _strength(low: float | None, high: float | None, figures: Figures) -> str:
    return _NOTHING if low is None or high is None else figures.percent_span(low, high)


def _shown(value: float | None, show: Show) -> str:
    return _NOTHING if value is None else show(value)


def _yes(value: bool) -> str:
    return gettext("yes") if value else gettext("no")


def _valve(shut: bool) -> str:
    return pgettext("valve", "shut") if shut else pgettext("valve", "open")
