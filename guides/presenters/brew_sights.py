"""What may be looked at beside the brew's table: the brewer from the side as it fills, and each pour from above."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any, Final

from guides.lifecycle.snapshot import Snapshot

from .brew_sheet import BrewRow, Sights
from .drawings import cone_course, pour_path_drawing
from .numbers import Figures

_EVERY_S: Final = (2.0, 60.0)
_MOMENTS: Final = 120
"""A brew of hours is followed in longer steps, so that the page stays small."""


def build(kept: Snapshot, rows: Sequence[BrewRow], figures: Figures) -> Sights:
    """Draw a brew for the screen beside it.

    Args:
        kept: the guide as data.
        rows: those of the brewing page.
        figures: the reader's language and units.

    Returns:
        The drawings, and for the script ``moments`` of (second, y of the water, y of the grounds, runs off) with
        ``rows``, the second of the plan at which each row begins. Without moments for a plan that is not simulated.
    """
    plan, assessment, language, units = kept.plan, kept.assessment, figures.language, figures.units
    times, course = assessment.step_times, assessment.course
    every_s = min(max(course[-1].time_s / _MOMENTS, _EVERY_S[0]), _EVERY_S[1]) if course else _EVERY_S[0]
    cone = cone_course(plan, assessment, language, every_s=every_s, uid="brew-cone", units=units)
    paths = {
        index: pour_path_drawing(plan, row.step, times, language, uid=f"brew-path-{index}", units=units)
        for index, row in enumerate(rows)
        if row.step is not None
    }
    told: dict[str, Any] = {
        "moments": _changes(cone.moments) if cone else [],
        "rows": [row.after_s if row.step is None else times[row.step].start_s for row in rows],
    }
    return Sights(cone.svg if cone else "", {index: path for index, path in paths.items() if path}, told)


def _changes(moments: Sequence[tuple[float, float, float, bool]]) -> list[tuple[float, float, float, bool]]:
    """Leave out moments at which everything stands as before."""
    return [next(same) for _, same in groupby(moments, key=lambda moment: moment[1:])]
