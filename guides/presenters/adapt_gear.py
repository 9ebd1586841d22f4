"""From what a reader asks to what the calculation room is asked: units turned, gear looked up, limits kept."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Final

from guides.calculations import adaptation, own_brewer, serving
from guides.calculations.dialing import Logged, grinder_offset_um
from guides.calculations.freshness import GasLevel
from guides.calculations.grind import GrinderTable, check_table, setting_for, shifted, size_um
from guides.calculations.plan import Plan
from guides.calculations.rounding import round_half_up
from guides.calculations.thermal import boiling_point_c
from guides.calculations.units import celsius_from_fahrenheit, grams_from_ounces, metres_from_feet
from guides.calculations.validity import OutOfRange, check_range
from guides.calculations.vessel import Brewer, usable_from_weighing_ml
from guides.calculations.water import Water, to_mg_l
from guides.lifecycle.assessing import gas_on
from guides.lifecycle.grinder_table import table_of
from guides.lifecycle.plan_of import brewer_of
from guides.lifecycle.snapshot import BrewerNames, Snapshot
from guides.models import Grinder, Lot
from guides.queries import gear, house

from .adapt_request import FULL, OWN, AdaptRequest
from .typed import Problem
from .units import Altitude, Mass, Temperature

_MOST_MG_L: Final = 1000


class Refused(ValueError):
    """A request that no brew can be made of; every problem names its field."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(", ".join(f"{problem.field}: {problem.code}" for problem in problems))
        self.problems = problems


@dataclass(frozen=True)
class Kitchen:
    """A request with its gear found. ``brewer`` names it where it is not the guide's; ``brewer_ml`` is its volume.

    ``measured`` says how that volume is known: ``weighed``, ``estimated``, or empty where the roastery states it.
    ``brews`` is in how many equal brews a bag is finished. ``offset_um`` is how much coarser the reader's grinder
    grinds than its table says; ``lands_um`` what it gives where they have no table.
    """

    request: adaptation.Request
    brewer: BrewerNames | None = None
    measured: str = ""
    brews: int = 0
    grinder: str = ""
    setting_word: str = ""
    offset_um: float | None = None
    lands_um: float | None = None
    water: Water | None = None


def kitchen(asked: AdaptRequest, kept: Snapshot, lot: Lot | None, today: datetime.date) -> Kitchen:
    """Give what a request comes to for one guide.

    Args:
        asked: what the reader asks.
        kept: the guide.
        lot: the bag it is brewed from, if any: its gas today counts.
        today: the roastery's day.

    Raises:
        Refused: gear that is not there, or numbers out of range, each with its field.
    """
    trouble = _Trouble()
    brewer, names, measured = _brewer(asked, kept, trouble)
    plan = replace(kept.plan, brewer=brewer) if brewer and brewer.flow is kept.plan.brewer.flow else kept.plan
    grinder = _grinder(asked, plan, kept, trouble)
    water = _water(asked, trouble)
    request = replace(
        _size(asked, kept, trouble),
        brewer=brewer,
        grinder=grinder.table,
        altitude_m=_altitude(asked, trouble),
        boiling_c=_boiling(asked, trouble),
        gas=_gas(lot, today),
        alkalinity_mg_l=None if asked.alkalinity is None or water is None else water.alkalinity_mg_l,
        guide_alkalinity_mg_l=house.current().tap_alkalinity_mg_l if asked.alkalinity is not None else None,
    )
    if trouble.problems:
        raise Refused(tuple(trouble.problems))
    left_g = None if asked.bag is None else _grams(asked, asked.bag)
    return Kitchen(
        request=request,
        brewer=names,
        measured=measured,
        brews=0 if left_g is None else serving.brews_left(left_g, kept.plan.dose_g),
        grinder=grinder.name,
        setting_word=grinder.setting_word,
        offset_um=grinder.offset_um,
        lands_um=grinder.lands_um,
        water=water,
    )


class _Trouble:
    """Problems as they are met, so that a reader hears of all at once."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    @contextmanager
    def at(self, field: str) -> Iterator[None]:
        """Put what is out of range on a field of the form."""
        try:
            yield
        except OutOfRange as refused:
            self.problems.append(problem(field, refused))


def problem(field: str, refused: OutOfRange) -> Problem:
    """Say where a number was refused; limits are named after the argument, which carries the unit."""
    return Problem(field, "out_of_range", refused.low, refused.high, refused.argument)


def _grams(asked: AdaptRequest, value: float) -> float:
    if asked.mass is Mass.GRAM:
        return value
    return grams_from_ounces(max(value, 0.0))  # below 0 is refused by whoever takes the mass


def _size(asked: AdaptRequest, kept: Snapshot, trouble: _Trouble) -> adaptation.Request:
    if asked.size == FULL:
        return adaptation.Request(fill_brewer=True)
    if asked.size:
        return adaptation.Request(cup_g=serving.cups_g(kept.assessment.cup_g.likely, int(asked.size)))
    if asked.dose is not None:
        with trouble.at("dose"):
            dose_g = check_range("dose_g", _grams(asked, asked.dose), low=1, high=300, reason="one brew, by hand")
            return adaptation.Request(dose_g=dose_g)
    if asked.bag is not None:
        with trouble.at("bag"):
            left_g = _grams(asked, asked.bag)
            return adaptation.Request(bag_left_g=left_g / serving.brews_left(left_g, kept.plan.dose_g))
    return adaptation.Request()


def _brewer(asked: AdaptRequest, kept: Snapshot, trouble: _Trouble) -> tuple[Brewer | None, BrewerNames | None, str]:
    held_g = None if asked.holds is None else _grams(asked, asked.holds)
    if asked.brewer == OWN:
        measured = own_brewer.Measured(asked.wall, asked.way, asked.made, held_g, asked.height, asked.across)
        try:
            known = "estimated" if held_g is None else "weighed"
            return own_brewer.brewer_of(measured), BrewerNames("", OWN, "", "", ""), known
        except OutOfRange as refused:
            field = {"height_mm": "height", "across_mm": "across"}.get(refused.argument, "holds")
            trouble.problems.append(problem(field, refused))
            return None, None, ""
    brewer, names = kept.plan.brewer, None
    if asked.brewer and asked.brewer != kept.brewer.slug:
        row = gear.brewers().filter(slug=asked.brewer).first()
        if row is None:
            trouble.problems.append(Problem("brewer", "unknown_choice"))
            return None, None, ""
        brewer = brewer_of(row)
        names = BrewerNames(row.name, row.slug, row.vessel.name, "", row.paper.name if row.paper else "")
    if held_g is not None:
        with trouble.at("holds"):
            return replace(brewer, usable_ml=usable_from_weighing_ml(held_g)), names, "weighed"
    return (brewer if names else None), names, ""


@dataclass(frozen=True)
class _Grinder:
    table: GrinderTable | None = None
    name: str = ""
    setting_word: str = ""
    offset_um: float | None = None
    lands_um: float | None = None


def _grinder(asked: AdaptRequest, plan: Plan, kept: Snapshot, trouble: _Trouble) -> _Grinder:
    table, row = None, None
    if asked.grinder == OWN:
        with trouble.at("points"):
            settings, sizes = zip(*asked.points, strict=True)
            table = check_table(GrinderTable(settings, sizes, check_range("click", asked.click, above=0, reason="")))
    elif asked.grinder:
        row = gear.grinders().filter(slug=asked.grinder).first()
        with trouble.at("grinder"):
            table = None if row is None else check_table(table_of(row))
        if row is None:
            trouble.problems.append(Problem("grinder", "unknown_choice"))
    if asked.grinder and table is None:
        return _Grinder()
    return _corrected(asked, plan, kept, table, row, trouble)


def _corrected(
    asked: AdaptRequest, plan: Plan, kept: Snapshot, table: GrinderTable | None, row: Grinder | None, trouble: _Trouble
) -> _Grinder:
    """Move a table by what earlier brews have said of the grinder, and by what these have."""
    offset_um, lands_um = asked.offset, None
    if table is not None and offset_um is not None:
        with trouble.at("offset"):
            table = shifted(table, offset_um)
    if asked.drained:
        with trouble.at("drained"):
            believed_um = plan.grind_um if table is None else _ground_um(asked, plan, table, trouble)
            brewed = replace(plan, grind_um=believed_um)
            more_um = round_half_up(
                grinder_offset_um([Logged(brewed, time) for time in asked.drained], kept.conditions)
            )
            if table is None:
                lands_um = believed_um + more_um
            else:
                table, offset_um = shifted(table, more_um), (offset_um or 0) + more_um
    name, word = (row.name, row.setting_word) if row else ("", "")
    return _Grinder(table, name, word, offset_um if table is not None else None, lands_um)


def _ground_um(asked: AdaptRequest, plan: Plan, table: GrinderTable, trouble: _Trouble) -> float:
    """The size a reader's brews were believed to be ground to."""
    with trouble.at("grinder" if asked.at is None else "at"):
        return size_um(table, setting_for(table, plan.grind_um).setting if asked.at is None else asked.at)
    return plan.grind_um


def _altitude(asked: AdaptRequest, trouble: _Trouble) -> float | None:
    if asked.altitude is None:
        return None
    with trouble.at("altitude"):
        altitude_m = metres_from_feet(asked.altitude) if asked.alt is Altitude.FOOT else asked.altitude
        boiling_point_c(altitude_m)
        return altitude_m
    return None


def _boiling(asked: AdaptRequest, trouble: _Trouble) -> float | None:
    if asked.boils is None:
        return None
    boils_c = celsius_from_fahrenheit(max(asked.boils, 0.0)) if asked.temp is Temperature.FAHRENHEIT else asked.boils
    with trouble.at("boils"):
        low, high = boiling_point_c(6000), boiling_point_c(-500)
        return check_range("boiling_c", boils_c, low=low, high=high, reason="where people live and brew")
    return None


def _water(asked: AdaptRequest, trouble: _Trouble) -> Water | None:
    found = {"hardness": 0.0, "alkalinity": 0.0}
    for field in found:
        value = getattr(asked, field)
        if value is not None:
            with trouble.at(field):
                mg_l = to_mg_l(value, asked.water)
                found[field] = check_range(f"{field}_mg_l", mg_l, low=0, high=_MOST_MG_L, reason="drinking water")
    if asked.hardness is None and asked.alkalinity is None:
        return None
    return Water(found["hardness"], found["alkalinity"])


def _gas(lot: Lot | None, today: datetime.date) -> GasLevel | None:
    return None if lot is None else gas_on(lot, today)
