"""A loss beside its history: the limit of 0.7 points, seen from both sides."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.loss_history import compare
from guides.calculations.validity import OutOfRange


@pytest.mark.parametrize(
    ("loss", "is_off"),
    [(0.119, False), (0.1259, False), (0.126, True), (0.1121, False), (0.112, True), (0.131, True), (0.10, True)],
)
def test_seven_tenths_of_a_point_either_way_is_off(loss, is_off):
    assert compare(loss, [0.119]).is_off is is_off


def test_one_odd_roast_does_not_move_what_is_usual():
    assert compare(0.12, [0.119, 0.18, 0.121]).usual == 0.121


@given(st.integers(110, 170), st.lists(st.integers(110, 170), min_size=1, max_size=12))
def test_per_mille_are_compared_exactly(loss, earlier):
    """In whole per mille the limit has no rounding: 7 of them are off, 6 are not."""
    found = compare(loss / 1000, [each / 1000 for each in earlier])
    doubled = round(2 * (loss - found.usual * 1000))
    assert found.is_off is (abs(doubled) >= 14)


@pytest.mark.parametrize(("loss", "earlier"), [(0.12, []), (0.6, [0.12]), (0.12, [-0.1])])
def test_what_is_no_loss_is_refused(loss, earlier):
    with pytest.raises(OutOfRange):
        compare(loss, earlier)
