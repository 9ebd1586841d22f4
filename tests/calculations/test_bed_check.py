"""One piece of advice for every look at a bed. Common practice, no source: unevenness before grind."""

from itertools import product

import pytest

from guides.calculations.bed_check import BedAdvice, BedSeen, EndSeen, WallSeen, check_bed


def test_every_look_has_an_answer_and_every_answer_a_look():
    assert {check_bed(*seen) for seen in product(WallSeen, BedSeen, EndSeen)} == set(BedAdvice)


@pytest.mark.parametrize(("wall", "end"), list(product(WallSeen, EndSeen)))
def test_a_slope_is_put_right_before_anything_else(wall, end):
    assert check_bed(wall, BedSeen.SLOPING, end) is BedAdvice.LEVEL


@pytest.mark.parametrize("wall", [WallSeen.BARE, WallSeen.THIN])
def test_grind_follows_the_clock_on_an_even_bed(wall):
    assert check_bed(wall, BedSeen.FLAT, EndSeen.SOON) is BedAdvice.FINER
    assert check_bed(wall, BedSeen.FLAT, EndSeen.LATE) is BedAdvice.COARSER
