"""A trial that is planned, in words: what it sets out from, what is changed, and what that should do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import urlencode

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from guides.calculations.assess import assess
from guides.calculations.validity import OutOfRange
from guides.choices import Method
from guides.lifecycle import starting
from guides.lifecycle.assessing import assess_plan
from guides.lifecycle.trial_plan import Change, Intention, number
from guides.models import Brewer, Lot, TrialBrew
from guides.queries.begin_from import Beginnings

from . import effects as plan_effects
from . import findings, water_words
from .numbers import Figures, clock

NAMES: Final[dict[str, str | Promise]] = {
    "dose_g": _("Dose"),
    "water_g": _("Water through the coffee"),
    "bypass_g": _("Water added to the cup"),
    "kettle_c": _("Kettle"),
    "grind_um": _("Grind"),
    "opened_s": _("Valve opened"),
}


@dataclass(frozen=True)
class Source:
    """One thing a trial may set out from: what it is, and the part of an address that says so."""

    text: str
    asked: tuple[tuple[str, str], ...]

    @property
    def query(self) -> str:
        return urlencode(self.asked)


@dataclass(frozen=True)
class Beginning:
    """What a trial of one coffee may set out from."""

    coffee: str
    lot: str
    guides: tuple[Source, ...]
    brews: tuple[Source, ...]
    usual: tuple[Source, ...]


def title(said: Intention) -> str:
    return gettext("%(coffee)s in the %(brewer)s: trial brew") % {"coffee": said.lot.coffee, "brewer": said.brewer}


def source(out: Intention, figures: Figures) -> str:
    """Say what a trial sets out from."""
    if out.repeats is not None:
        return brew_name(out.repeats, figures)
    if out.version is not None:
        return str(out.version)
    return gettext("Usual plan: %(method)s, %(brewer)s") % {
        "method": Method(out.method.value).label if out.method else "",
        "brewer": out.brewer,
    }


def brew_name(brew: TrialBrew, figures: Figures) -> str:
    """Name a brew by its lot, its day and who made it."""
    at = timezone.localtime(brew.brewed_at)
    return gettext("%(lot)s, %(day)s %(time)s, %(who)s") % {
        "lot": brew.lot.name,
        "day": figures.day(at.date(), timezone.localdate()),
        "time": f"{at:%H:%M}",
        "who": brew.brewed_by.display_name,
    }


def water(brew: TrialBrew, figures: Figures) -> str:
    """Say what water a brew was made with; empty where nobody wrote it down."""
    return ", ".join(
        [
            *([brew.water_used] if brew.water_used else []),
            *water_words.said(brew.hardness_mg_l, brew.alkalinity_mg_l, figures),
        ]
    )


def shown(name: str, value: float, figures: Figures) -> str:
    """Write one of the numbers a trial may change, with its unit."""
    if name == "opened_s":
        return clock(value)
    show = {"_g": figures.grams, "_c": figures.celsius, "um": figures.micrometres}[name[-2:]]
    return show(value)


def changes(said: Intention, figures: Figures) -> tuple[str, ...]:
    """Say what is not as it was, one line each."""
    return tuple(change(each, figures) for each in said.changes)


def change(changed: Change, figures: Figures) -> str:
    return gettext("%(what)s: %(after)s instead of %(before)s") % {
        "what": NAMES[changed.name],
        "after": shown(changed.name, changed.after, figures),
        "before": shown(changed.name, changed.before, figures),
    }


def was(out: Intention, name: str, figures: Figures, said: Intention | None) -> str:
    """Say what a number was, where the plan that is asked for has another."""
    before = number(out.source, name)
    if before is None or said is None or number(said.plan, name) == before:
        return ""
    return gettext("was %(value)s") % {"value": shown(name, before, figures)}


def effects(said: Intention, figures: Figures) -> tuple[str, ...]:
    """Say what the changes should do, each marked as about."""
    if not said.changes:
        return ()
    try:
        before = assess(said.source, said.conditions, said.targets)
        after = assess_plan(said.plan, said.conditions, said.targets)
    except OutOfRange:
        return ()
    return tuple(plan_effects.between(before, after, figures))


def problems(said: Intention) -> tuple[str, ...]:
    """Say why a plan cannot be brewed.

    Raises:
        OutOfRange: a number that no brew has.
    """
    language = get_language() or "en"
    found = assess_plan(said.plan, said.conditions, said.targets)
    return tuple(findings.message(each, language) for each in found.refusals)


def beginnings(
    found: Iterable[Beginnings], brewers: Iterable[Brewer], figures: Figures, *, with_lot: bool = False
) -> tuple[Beginning, ...]:
    """List what a trial of each coffee may set out from: its guides, its last brews, and the usual plans.

    Args:
        found: the coffees.
        brewers: with their vessels.
        figures: writes numbers and days.
        with_lot: the trial is of the lot named with the coffee, whatever it sets out from.
    """
    usual = [
        Source(
            gettext("%(method)s, %(brewer)s") % {"method": Method(method.value).label, "brewer": brewer},
            (("method", method.value), ("brewer", str(brewer.pk))),
        )
        for brewer, methods in starting.offered(brewers)
        for method in methods
    ]
    return tuple(
        Beginning(
            coffee=each.coffee.name,
            lot=each.lot.name,
            guides=tuple(
                Source(str(version), (("version", str(version.pk)), *_of(each.lot, with_lot)))
                for version in each.versions
            ),
            brews=tuple(
                Source(brew_name(brew, figures), (("trial", str(brew.pk)), *_of(each.lot, with_lot)))
                for brew in each.brews
            ),
            usual=tuple(replace(one, asked=(*one.asked, *_of(each.lot))) for one in usual),
        )
        for each in found
    )


def _of(lot: Lot, said: bool = True) -> tuple[tuple[str, str], ...]:
    return (("lot", str(lot.pk)),) if said else ()
