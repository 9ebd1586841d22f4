"""Rounding laws: sums exact, targets rising, no pour lost."""

import math
from itertools import accumulate

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from guides.calculations.rounding import (
    five_grams,
    one_decimal,
    round_down,
    round_half_up,
    round_up,
    to_five_seconds,
    whole_grams,
)
from guides.calculations.validity import OutOfRange

POURS = st.lists(st.floats(0.01, 500), min_size=1, max_size=12).map(lambda pours: list(accumulate(pours)))


@pytest.mark.parametrize("rule", [whole_grams, five_grams])
@given(targets=POURS)
def test_rounded_pours_add_up_to_the_rounded_water_and_none_is_lost(rule, targets):
    assume(math.floor(targets[-1] + 0.5) >= len(targets))
    rounded = rule(targets)
    pours = [after - before for before, after in zip((0, *rounded), rounded, strict=False)]
    assert len(rounded) == len(targets)
    assert rounded[-1] == math.floor(targets[-1] + 0.5)
    assert sum(pours) == rounded[-1]
    assert min(pours) >= 1
    assert all(isinstance(target, int) for target in rounded)


@given(targets=POURS)
def test_whole_grams_moves_no_target_further_than_needed(targets):
    assume(all(after - before >= 2 for before, after in zip([0, *targets], targets, strict=False)))
    assert all(abs(after - before) <= 0.5 for before, after in zip(targets, whole_grams(targets), strict=True))


@given(targets=POURS)
def test_five_grams_are_multiples_of_five_but_for_the_last(targets):
    assume(math.floor(targets[-1] + 0.5) >= 5 * len(targets))
    assert all(target % 5 == 0 for target in five_grams(targets)[:-1])


@given(targets=POURS)
def test_rounding_twice_changes_nothing(targets):
    assume(math.floor(targets[-1] + 0.5) >= len(targets))
    assert whole_grams(whole_grams(targets)) == whole_grams(targets)


@pytest.mark.parametrize("bad", [[], [0], [-1, 5], [5, 5], [9, 3], [math.nan], [5, math.inf], [0.2], [0.4, 0.6, 1.0]])
@pytest.mark.parametrize("rule", [whole_grams, five_grams])
def test_refuses_targets_no_scale_can_show(rule, bad):
    with pytest.raises(OutOfRange):
        rule(bad)


@given(value=st.floats(-1e6, 1e6, allow_subnormal=False), step=st.sampled_from([0.5, 1, 5, 10, 100]))
def test_up_and_down_enclose_the_value(value, step):
    assert round_down(value, step) <= value <= round_up(value, step)
    assert round_up(value, step) - round_down(value, step) <= step
    assert abs(round_half_up(value, step) - value) <= step / 2


def test_nothing_rounds_up_to_nothing_without_a_sign():
    assert str(round_up(0, 100)) == "0.0"


def test_halves_go_up_unlike_pythons_round():
    assert (round_half_up(0.5), round_half_up(2.5), to_five_seconds(112.5), one_decimal(0.25)) == (1, 3, 115, 0.3)
    assert round(2.5) == 2  # the built-in rounds halves to even: that is why there is a rule of our own


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_refuses_what_is_no_number(bad):
    for rule in (round_half_up, to_five_seconds, one_decimal):
        with pytest.raises(OutOfRange):
            rule(bad)
    with pytest.raises(OutOfRange):
        round_half_up(1, 0)
