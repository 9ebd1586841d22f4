"""A crowd of brews: the middle one against Python's own, the windows each for themselves."""

import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.crowd import Drained, gather
from guides.calculations.validity import OutOfRange

TIMES = st.lists(st.integers(30, 600), min_size=1, max_size=40)


@given(TIMES, st.integers(60, 300), st.integers(0, 60))
def test_every_brew_with_a_window_is_before_in_or_after_it(times, low, width):
    found = gather([Drained(time, low, low + width) for time in times])
    assert found.before + found.within + found.after == found.count == len(times)
    assert found.middle_s == statistics.median(times)


def test_each_is_held_to_its_own_window():
    found = gather([Drained(170, 165, 190), Drained(170, 180, 200), Drained(170, 120, 160), Drained(170)])
    assert (found.count, found.before, found.within, found.after) == (4, 1, 1, 1)


@pytest.mark.parametrize("bad", [[], [Drained(-1)], [Drained(7201)]])
def test_what_is_no_crowd_is_refused(bad):
    with pytest.raises(OutOfRange):
        gather(bad)
