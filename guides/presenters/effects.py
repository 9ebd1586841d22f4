"""What changed numbers do to a brew: two plans, assessed for the same coffee on the same day."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from django.utils.translation import gettext

from guides.calculations.assess import assess
from guides.calculations.assessment import Assessment
from guides.calculations.rounding import round_half_up, to_five_seconds
from guides.calculations.validity import Window
from guides.lifecycle.snapshot import Snapshot

from .numbers import Figures

_HOTTER_C: Final = 1.0
_CUP_G: Final = 5.0
_STRENGTH: Final = 0.0005  # 0.05 percentage points of strength, about what a refractometer repeats to
"""Smaller differences than these would not be noticed and are not told. Common practice, no source."""


def of(old: Snapshot, new: Snapshot, figures: Figures) -> tuple[str, ...]:
    """Say what the new plan does otherwise, each marked as about.

    Both plans are assessed under the newer one's conditions: what was learnt about the coffee in between is no effect
    of a changed number.
    """
    if old.plan == new.plan:
        return ()
    before = assess(old.plan, new.conditions, old.targets)
    return tuple(between(before, new.assessment, figures))


def between(before: Assessment, after: Assessment, figures: Figures) -> Iterator[str]:
    """Say what one assessment has otherwise than another, each marked as about."""
    later = _later(before.first_drip, after.first_drip)
    if later:
        words = gettext("drips about %(time)s later") if later > 0 else gettext("drips about %(time)s earlier")
        yield words % {"time": figures.seconds(abs(later))}
    later = _later(before.drained, after.drained)
    if later:
        words = gettext("drains about %(time)s later") if later > 0 else gettext("drains about %(time)s earlier")
        yield words % {"time": figures.seconds(abs(later))}
    hotter = round_half_up(after.slurry_peak_c - before.slurry_peak_c)
    if abs(hotter) >= _HOTTER_C:
        words = gettext("gets about %(many)s hotter") if hotter > 0 else gettext("stays about %(many)s cooler")
        yield words % {"many": figures.celsius(abs(hotter))}
    more = round_half_up(after.cup_g.likely - before.cup_g.likely, 5)
    if abs(more) >= _CUP_G:
        words = gettext("about %(many)s more in the cup") if more > 0 else gettext("about %(many)s less in the cup")
        yield words % {"many": figures.grams(abs(more))}
    if before.strength is not None and after.strength is not None:
        stronger = after.strength.likely - before.strength.likely
        if abs(stronger) >= _STRENGTH:
            words = gettext("about %(many)s stronger") if stronger > 0 else gettext("about %(many)s weaker")
            yield words % {"many": figures.percent(abs(stronger))}


def _later(before: Window | None, after: Window | None) -> float:
    """How many seconds later, to 5 s; 0 where either never happens."""
    return 0.0 if before is None or after is None else to_five_seconds(after.likely - before.likely)
