"""Which grounds stay dry. What a stream reaches is common practice, no source."""

from dataclasses import replace

import pytest

from guides.calculations.plan import Action, Path, Step
from guides.calculations.wetting import rim_dry_after

from .demo_plans import OUTER_MARK, WINTER_KEEL, pour

CENTRE = pour(0, 10, 48, Path.CENTRE)
LATER = pour(45, 60, 120, Path.CENTRE)


@pytest.mark.parametrize(
    ("steps", "dry"),
    [
        ((CENTRE, LATER), [True, True]),
        ((CENTRE, pour(45, 60, 120, Path.RIM)), [True, False]),
        ((CENTRE, pour(45, 60, 120, Path.SPIRAL_IN), pour(70, 80, 200, Path.CENTRE)), [True, False, False]),
        ((CENTRE, Step(Action.SWIRL, 12, 15), LATER), [True, False, False]),
        ((Step(Action.POUR, 0, 10, 48), LATER), [False, False]),
        ((Step(Action.OPEN, 0, 0),), [False]),
    ],
)
def test_the_rim_is_dry_until_something_reaches_it(steps, dry):
    plan = replace(OUTER_MARK, steps=steps)
    assert [rim_dry_after(plan, index) for index in range(len(steps))] == dry


def test_in_a_jar_all_grounds_swim():
    assert not rim_dry_after(replace(WINTER_KEEL, steps=(CENTRE,)), 0)
