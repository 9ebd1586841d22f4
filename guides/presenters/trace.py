"""One up, one down: a trace as its page shows it, with sums that add up or say by how much they do not."""

from __future__ import annotations

import datetime
from collections import Counter
from dataclasses import astuple, dataclass
from decimal import Decimal
from typing import Final

from guides.choices import RunState
from guides.models import Dispatch, GreenLot, Lot, LotPart, PackingRun, Roast
from guides.queries import trace

from .bag_count import bags_of

_NOTHING: Final = Decimal(0)
_SCALE: Final = Decimal("0.01")
"""Masses are kept to 10 g, so a sum of two may be off by as much."""


@dataclass(frozen=True)
class Balance:
    """What there was, and what became of it. ``left`` may be up to ``allowed`` and still be as it should."""

    whole: Decimal
    parts: Decimal
    allowed: Decimal = _NOTHING

    @property
    def left(self) -> Decimal:
        return self.whole - self.parts

    @property
    def over(self) -> Decimal:
        """How much more became of it than there was."""
        return max(-self.left, _NOTHING)

    @property
    def adds_up(self) -> bool:
        return -_SCALE <= self.left <= self.allowed


@dataclass(frozen=True)
class PartLine:
    """So much of a roast is in a lot."""

    roast: str
    lot: str
    mass_kg: Decimal


@dataclass(frozen=True)
class RoastLine:
    """A roast and the lots filled from it. ``kept_kg`` is what those lots say was kept for tasting."""

    name: str
    day: datetime.date
    green_kg: Decimal
    roasted_kg: Decimal
    recalled: str
    parts: tuple[PartLine, ...]
    kept_kg: Decimal
    mass: Balance


@dataclass(frozen=True)
class GreenLine:
    """A green lot, and the roasts of it that belong to this trace."""

    name: str
    origin: str
    supplier_reference: str
    arrived_on: datetime.date | None
    recalled: str
    mass: Balance
    roasts: tuple[RoastLine, ...]


@dataclass(frozen=True)
class OutLine:
    """So many bags went to one place."""

    outlet: str
    place: str
    bags: int


@dataclass(frozen=True)
class Fates:
    """Where copies of inserts went; ``open`` were handed out and are not counted yet, ``bags`` were packed with them.

    Bags of several editions have no sum: one bag may hold a sticker and an insert.
    """

    printed: int = 0
    spoiled: int = 0
    left_over: int = 0
    packed: int = 0
    bags: int = 0
    open: int = 0

    def __add__(self, other: Fates) -> Fates:
        return Fates(*map(sum, zip(astuple(self), astuple(other), strict=True)))


@dataclass(frozen=True)
class InsertLine:
    """What was printed of one edition for a lot, in one printing. ``why`` is why not every bag holds one."""

    title: str
    revision: int
    language: str
    mark: str
    fates: Fates
    why: str


@dataclass(frozen=True)
class LotLine:
    """A packed lot: what it was filled from, how many bags it filled, and where they went."""

    name: str
    coffee: str
    recalled: str
    bag_g: int
    parts: tuple[PartLine, ...]
    mass: Balance
    out: tuple[OutLine, ...]
    bags: Balance
    inserts: tuple[InsertLine, ...]

    @property
    def inserts_sum(self) -> Fates:
        """All of its inserts together."""
        return sum((line.fates for line in self.inserts), Fates())

    @property
    def is_whole(self) -> bool:
        """Whether every bag is accounted for, and the coffee in them has a roast."""
        return bool(self.parts) and self.mass.adds_up and self.bags.adds_up and not self.bags.left


@dataclass(frozen=True)
class Trace:
    """All of it, and what it comes to."""

    greens: tuple[GreenLine, ...]
    lots: tuple[LotLine, ...]
    bags: Balance
    out: tuple[OutLine, ...]
    inserts: Fates


def of(origin: GreenLot | Roast | Lot) -> Trace:
    """Follow a green lot, a roast or a packed lot one up and one down."""
    roasts = trace.roasts_of(origin)
    greens = [origin] if isinstance(origin, GreenLot) else trace.green_lots_of(roasts)
    packed = tuple(_lot(lot) for lot in trace.lots_of(origin))
    kinds = Counter[str]()
    for lot in packed:
        for line in lot.out:
            kinds[line.outlet] += line.bags
    return Trace(
        greens=tuple(_green(green, [roast for roast in roasts if roast.green_lot_id == green.pk]) for green in greens),
        lots=packed,
        bags=Balance(sum((lot.bags.whole for lot in packed), _NOTHING), Decimal(kinds.total())),
        out=tuple(OutLine(outlet, "", bags) for outlet, bags in kinds.items()),
        inserts=sum((lot.inserts_sum for lot in packed), Fates()),
    )


def _green(green: GreenLot, roasts: list[Roast]) -> GreenLine:
    used = sum((roast.green_kg for roast in green.roasts.all()), _NOTHING)
    return GreenLine(
        name=green.name,
        origin=green.origin,
        supplier_reference=green.supplier_reference,
        arrived_on=green.arrived_on,
        recalled=green.recall_reason,
        # What is not roasted yet lies in its sacks.
        mass=Balance(green.mass_kg, used, allowed=green.mass_kg),
        roasts=tuple(_roast(roast) for roast in roasts),
    )


def _roast(roast: Roast) -> RoastLine:
    parts = list(roast.parts.all())
    filled = sum((part.mass_kg for part in parts), _NOTHING)
    kept = sum((_kept(part) for part in parts), _NOTHING)
    return RoastLine(
        name=roast.name,
        day=roast.roasted_on,
        green_kg=roast.green_kg,
        roasted_kg=roast.roasted_kg,
        recalled=roast.recall_reason,
        parts=tuple(PartLine(roast.name, part.lot.name, part.mass_kg) for part in parts),
        kept_kg=kept,
        mass=Balance(roast.roasted_kg, filled + kept, allowed=_SCALE),
    )


def _kept(part: LotPart) -> Decimal:
    """What was kept for tasting of a lot that is filled from several roasts comes from each in proportion."""
    filled = sum((other.mass_kg for other in part.lot.parts.all()), _NOTHING)
    return (part.lot.qc_kg * part.mass_kg / filled).quantize(_SCALE)


def _lot(lot: Lot) -> LotLine:
    parts = list(lot.parts.all())
    count = Decimal(bags_of(lot))
    in_bags = count * lot.bag_g / 1000
    out = _out(list(lot.dispatches.all()))
    return LotLine(
        name=lot.name,
        coffee=lot.coffee.name,
        recalled=lot.recall_reason,
        bag_g=lot.bag_g,
        parts=tuple(PartLine(part.roast.name, lot.name, part.mass_kg) for part in parts),
        # The last bag is not begun: less than one is left.
        mass=Balance(
            sum((part.mass_kg for part in parts), _NOTHING), in_bags, allowed=Decimal(lot.bag_g) / 1000 + _SCALE
        ),
        out=out,
        bags=Balance(count, Decimal(sum(line.bags for line in out))),
        inserts=tuple(_insert(run) for run in lot.packing_runs.all()),
    )


def _insert(run: PackingRun) -> InsertLine:
    if run.state == RunState.COUNTED:
        fates = Fates(*(getattr(run, name) or 0 for name in ("printed", "spoiled", "left_over", "packed", "bags")))
    else:
        fates = Fates(open=run.copies)
    return InsertLine(run.version.title, run.version.revision or 0, run.language, run.mark, fates, why=run.difference)


def _out(rows: list[Dispatch]) -> tuple[OutLine, ...]:
    sums = Counter[tuple[str, str]]()
    names = {row.outlet: str(row.get_outlet_display()) for row in rows}
    for row in rows:
        sums[row.outlet, row.place] += row.bags
    return tuple(OutLine(names[outlet], place, bags) for (outlet, place), bags in sums.items() if bags)
