"""Trials side by side: what was changed from one to the next, and what it did."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from django.utils.translation import get_language, gettext

from guides.calculations.assessment import Targets
from guides.calculations.constants import RETENTION
from guides.calculations.cup_map import recipe_slope
from guides.calculations.rounding import round_half_up
from guides.choices import Outflow
from guides.lifecycle import measured
from guides.lifecycle.foreseen import foreseen_later_s
from guides.lifecycle.plan_of import targets_of
from guides.lifecycle.trial_plan import CHANGED, Change
from guides.models import TrialBrew

from . import trial_judged, trial_words
from .drawings import CupPoint, RatioLine, cup_drawing
from .numbers import Figures
from .trial_judged import Judged

MARKS = "ABCDEF"
_DRAINED_S, _STRENGTH, _EXTRACTION = 5, 0.0005, 0.005
"""Smaller differences than these are not told. Common practice, no source."""
_OPENED_OTHERWISE_S = 5  # a valve is opened by hand: less is no change of plan


@dataclass(frozen=True)
class Column:
    """One trial; ``mark`` is its letter on this page."""

    mark: str
    name: str
    brew: TrialBrew


@dataclass(frozen=True)
class Row:
    """One quantity across the trials; ``differs`` where they do not all have the same."""

    label: str
    cells: tuple[str, ...]
    differs: bool


@dataclass(frozen=True)
class Measure:
    """One measured quantity across the trials, each with what was foreseen or meant; ``None`` where not measured."""

    label: str
    cells: tuple[Judged | None, ...]


@dataclass(frozen=True)
class Step:
    """From one trial to the next: what was changed, and what it did."""

    between: str
    changed: tuple[str, ...]
    did: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """The whole page; ``drawing`` is empty where no cup was measured."""

    columns: tuple[Column, ...]
    plan: tuple[Row, ...]
    measured: tuple[Measure, ...]
    cup: tuple[Row, ...]
    steps: tuple[Step, ...]
    drawing: str


def compare(brews: Sequence[TrialBrew], figures: Figures) -> Comparison:
    """Set two to six brews side by side, in the order they were made, in the language that is active."""
    columns = tuple(
        Column(mark, trial_words.brew_name(brew, figures), brew) for mark, brew in zip(MARKS, brews, strict=False)
    )
    return Comparison(
        columns=columns,
        plan=tuple(_plan(brews, figures)),
        measured=tuple(_measured(brews, figures)),
        cup=tuple(_cup(brews)),
        steps=tuple(_step(*pair, figures) for pair in pairwise(columns)),
        drawing=_drawing(columns, figures),
    )


def _plan(brews: Sequence[TrialBrew], figures: Figures) -> Iterator[Row]:
    names = [str(brew.brewer) for brew in brews]
    yield Row(gettext("Brewer"), tuple(names), len(set(names)) > 1)
    for name in CHANGED:
        values = [getattr(brew, name) for brew in brews]
        if any(value is not None for value in values):
            cells = tuple("–" if v is None else trial_words.shown(name, float(v), figures) for v in values)
            yield Row(str(trial_words.NAMES[name]), cells, len(set(values)) > 1)
    for label, noted in (
        (gettext("Water"), [trial_words.water(brew, figures) or "–" for brew in brews]),
        (gettext("Room"), ["–" if b.room_c is None else figures.celsius(float(b.room_c)) for b in brews]),
    ):
        if set(noted) != {"–"}:
            yield Row(label, tuple(noted), len(set(noted)) > 1)


def _measured(brews: Sequence[TrialBrew], figures: Figures) -> Iterator[Measure]:
    judged = [{each.key: each for each in trial_judged.judge(brew, figures)} for brew in brews]
    for key in ("first_drip", "drained", "cup", "bed", "strength", "extraction"):
        cells = tuple(each.get(key) for each in judged)
        found = next((cell for cell in cells if cell is not None), None)
        if found is not None:
            yield Measure(found.label, cells)


def _cup(brews: Sequence[TrialBrew]) -> Iterator[Row]:
    rows = (
        (gettext("Found"), [str(brew.get_found_display()) for brew in brews]),
        (gettext("Balance"), [str(brew.get_balance_display()) for brew in brews]),
        (gettext("Taste"), [brew.taste for brew in brews]),
        (gettext("Liking"), ["" if brew.liking is None else f"{brew.liking}/10" for brew in brews]),
        (gettext("The spent bed"), [str(brew.get_bed_display()) for brew in brews]),
    )
    for label, cells in rows:
        if any(cells):
            yield Row(label, tuple(cell or "–" for cell in cells), len(set(cells)) > 1)


def _step(first: Column, second: Column, figures: Figures) -> Step:
    one, other = first.brew, second.brew
    changed = []
    if one.brewer_id != other.brewer_id:
        changed.append(gettext("another brewer: %(name)s") % {"name": other.brewer})
    if one.lot_id != other.lot_id:
        changed.append(gettext("another lot: %(name)s") % {"name": other.lot.name})
    waters = trial_words.water(one, figures), trial_words.water(other, figures)
    if all(waters) and waters[0] != waters[1]:
        changed.append(gettext("another water: %(what)s") % {"what": waters[1]})
    for name in CHANGED:
        before, after = getattr(one, name), getattr(other, name)
        if before is None or after is None or before == after:
            continue
        if name != "opened_s" or abs(after - before) >= _OPENED_OTHERWISE_S:
            change = Change(name, float(before), float(after))
            changed.append(trial_words.change(change, figures))
    return Step(f"{first.mark} → {second.mark}", tuple(changed), tuple(_did(one, other, figures)))


def _did(one: TrialBrew, other: TrialBrew, figures: Figures) -> Iterator[str]:
    if one.drained_s is not None and other.drained_s is not None:
        later = other.drained_s - one.drained_s
        words = gettext("drained %(time)s later") if later > 0 else gettext("drained %(time)s sooner")
        if abs(later) >= _DRAINED_S:
            yield words % {"time": figures.seconds(abs(later))} + _foreseen(one, other, figures)
        else:
            yield gettext("drained at the same time") + _foreseen(one, other, figures)
    strengths = measured.strength(one), measured.strength(other)
    if None not in strengths:
        more = (strengths[1] or 0) - (strengths[0] or 0)
        if abs(more) >= _STRENGTH:
            words = gettext("%(many)s stronger") if more > 0 else gettext("%(many)s weaker")
            yield words % {"many": figures.percent(abs(more))}
    found = measured.extraction(one), measured.extraction(other)
    if found[0] is not None and found[1] is not None:
        more = found[1].value - found[0].value
        if abs(more) >= _EXTRACTION:
            words = gettext("%(many)s more extracted") if more > 0 else gettext("%(many)s less extracted")
            yield words % {"many": figures.percent(abs(more), 1)}
    if one.liking is not None and other.liking is not None and one.liking != other.liking:
        yield gettext("liking %(after)s instead of %(before)s") % {"after": other.liking, "before": one.liking}


def _foreseen(one: TrialBrew, other: TrialBrew, figures: Figures) -> str:
    """What the change alone should have done to a coffee that flows as the first brew did."""
    by = foreseen_later_s(one, other)
    if by is None:
        return ""
    if round(by) == 0:
        return " " + gettext("(foreseen: the same)")
    sign = "+" if by > 0 else "−"
    return " " + gettext("(foreseen about %(by)s)") % {"by": sign + figures.seconds(abs(by))}


def _drawing(columns: Sequence[Column], figures: Figures) -> str:
    points = []
    for column in columns:
        found, strength = measured.extraction(column.brew), measured.strength(column.brew)
        if found is not None and strength is not None:
            points.append(CupPoint(column.mark, found, strength))
    targets = {targets_of(column.brew.version) for column in columns if column.brew.version}
    meant: Targets | None = targets.pop() if len(targets) == 1 else None
    return cup_drawing(points, ratio_lines([c.brew for c in columns], figures), get_language() or "en", targets=meant)


def ratio_lines(brews: Sequence[TrialBrew], figures: Figures) -> tuple[RatioLine, ...]:
    """Give recipes around those that were brewed, for their dose: all water, with what was added to the cup."""
    dose_g = median(float(brew.dose_g) for brew in brews)
    kept = median([brew.retention_g_g for brew in brews if brew.retention_g_g is not None] or [RETENTION.value])
    middle = round_half_up(median(float(brew.water_g + brew.bypass_g) / float(brew.dose_g) for brew in brews))
    immersed = all(brew.brewer.outflow == Outflow.CLOSED for brew in brews)
    lines = []
    for ratio in (middle - 2, middle - 1, middle, middle + 1, middle + 2):
        if ratio <= kept + 1:
            continue
        lines.append(RatioLine(figures.grams(ratio * dose_g, 0), recipe_slope(ratio, kept, immersed=immersed)))
    return tuple(lines)
