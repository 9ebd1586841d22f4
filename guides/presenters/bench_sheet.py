"""The bench page: brews in rows, what they teach in sentences and drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import get_language, gettext, ngettext

from guides.calculations.validity import Window
from guides.lifecycle import learning, measured
from guides.lifecycle.bench import Bench
from guides.models import TrialBrew

from . import trial_words
from .drawings import LotDrained, Trial, drift_drawing, windows_drawing
from .numbers import Figures, clock

LATEST: Final = 40
"""Rows of brews that a page shows if it is not asked for all: more than anybody looks through at the bench."""


@dataclass(frozen=True)
class BenchRow:
    """One brew; ``marks`` say in words what is special about it."""

    brew: TrialBrew
    name: str
    recipe: str
    drained: str
    strength: str
    liking: str
    factor: str
    marks: tuple[str, ...]


@dataclass(frozen=True)
class BenchSheet:
    """``rows`` are the latest brews first, ``older`` how many more there are.

    ``taught`` says what all of them teach; the drawings are empty where there is nothing to draw.
    """

    rows: tuple[BenchRow, ...]
    older: int
    taught: tuple[str, ...]
    windows: str
    drift: str


def build(bench: Bench, figures: Figures, *, whole: bool = False) -> BenchSheet:
    """Build the page in the language that is active, with the latest brews or, ``whole``, all of them."""
    language = get_language() or "en"
    narrowing = bench.narrowing()
    shown = [brew for brew in bench.brews if brew.flow_factor is not None]
    trials = [_trial(bench, brew) for brew in shown if not brew.is_set_aside] if bench.curve else []
    latest = bench.brews if whole else bench.brews[-LATEST:]
    return BenchSheet(
        rows=tuple(_row(bench, brew, figures) for brew in reversed(latest)),
        older=len(bench.brews) - len(latest),
        taught=tuple(_taught(bench, figures)),
        windows=windows_drawing(narrowing, trials, language) if narrowing else "",
        drift=drift_drawing(_lots(bench), language) if bench.curve else "",
    )


def _row(bench: Bench, brew: TrialBrew, figures: Figures) -> BenchRow:
    strength = measured.strength(brew)
    recipe = (figures.grams(float(brew.dose_g)), figures.grams(float(brew.water_g)), figures.micrometres(brew.grind_um))
    return BenchRow(
        brew=brew,
        name=trial_words.brew_name(brew, figures),
        recipe=" · ".join(recipe),
        drained="" if brew.drained_s is None else clock(brew.drained_s),
        strength="" if strength is None else figures.percent(strength),
        liking="" if brew.liking is None else str(brew.liking),
        factor="" if brew.flow_factor is None else figures.fixed(brew.flow_factor, 2),
        marks=tuple(_marks(bench, brew)),
    )


def _marks(bench: Bench, brew: TrialBrew) -> list[str]:
    found = [gettext("check brew")] if brew.is_check_brew else []
    if brew.is_set_aside:
        found.append(gettext("set aside: %(reason)s") % {"reason": brew.set_aside_reason})
    elif brew.pk in bench.far_off:
        found.append(gettext("far from the others: look again, or set it aside with a reason"))
    elif brew.drained_s is not None and brew.flow_factor is None and bench.curve is not None:
        found.append(gettext("teaches nothing: no coffee drains its plan then"))
    return found


def _taught(bench: Bench, figures: Figures) -> list[str]:
    if bench.lot is None:
        return []
    said = []
    drained = bench.drained(bench.factor)
    if drained is not None:
        resting = rests_on(bench.factor)
        window = figures.time_window(drained)
        said.append(
            gettext(
                "The next brew of %(lot)s on the last plan drains at about %(window)s, four times in five. %(rests)s"
            )
            % {"lot": bench.lot.name, "window": window, "rests": resting}
        )
        said.append(
            gettext("Flow factor %(likely)s (%(low)s–%(high)s); 1 is the reference coffee, less drains slower.")
            % {name: figures.fixed(getattr(bench.factor, name), 2) for name in ("low", "likely", "high")}
        )
    kept = bench.retention
    said.append(
        gettext("The grounds keep %(likely)s g of water per gram of coffee (%(low)s–%(high)s). %(rests)s")
        % {
            **{name: figures.number(getattr(kept, name), 1) for name in ("low", "likely", "high")},
            "rests": rests_on(kept),
        }
    )
    return said


def rests_on(window: Window) -> str:
    """Say on how many brews a window stands."""
    if window.trials == 0:
        return gettext("That rests on no trial brew yet.")
    said = ngettext("That rests on %(n)d trial brew.", "That rests on %(n)d trial brews.", window.trials)
    return said % {"n": window.trials}


def _trial(bench: Bench, brew: TrialBrew) -> Trial:
    assert bench.curve is not None and brew.flow_factor is not None  # noqa: S101, PT018 - build has seen to both
    return Trial(bench.curve.at(brew.flow_factor), brew.is_set_aside, brew.pk in bench.far_off)


def _lots(bench: Bench) -> Sequence[LotDrained]:
    found = []
    for brews in learning.by_lot(bench.counted).values():
        times = [_trial(bench, brew).drained_s for brew in brews]
        lot = brews[0].lot
        found.append(
            (lot.roasted_on, LotDrained(lot.name, min(times), sum(times) / len(times), max(times), len(times)))
        )
    return [lot for _day, lot in sorted(found, key=lambda each: (each[0], each[1].name))]
