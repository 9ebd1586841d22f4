"""Counts never round up, and survive numbers without an exact binary form (checked with `fractions`)."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.freshness import RoastLevel
from guides.calculations.validity import OutOfRange
from guides.calculations.yields import PUBLISHED_LOSS, bags, brews_per_bag, print_run, roast_loss, roasted_kg


def exactly(text: str) -> Fraction:
    return Fraction(text)


@given(green=st.integers(1, 600), loss=st.integers(100, 180), quality=st.integers(0, 10), fill=st.integers(50, 1000))
def test_bags_are_the_exact_floor(green, loss, quality, fill):
    """Tenths of kg, tenths of percent, whole grams: the exact floor by fractions."""
    left = Fraction(green, 10) * (1 - Fraction(loss, 1000)) - Fraction(quality, 10)
    expected = max(math.floor(left * 1000 / fill), 0)
    assert bags(green / 10, loss / 1000, fill, quality / 10) == expected


@pytest.mark.parametrize(
    ("green", "loss", "expected"),
    [(12, 0.119, 41), (12, 0.121, 40), (15, 0.134, 50), (12, 0.136, 40), (10, 0.162, 32), (15, 0.146, 50)],
)
def test_the_demo_lots(green, loss, expected):
    assert bags(green, loss, 250, 0.3) == expected


@given(bag=st.integers(1, 1000), dose=st.integers(10, 600), purge=st.integers(0, 20))
def test_brews_per_bag_are_the_exact_floor(bag, dose, purge):
    expected = max(math.floor((Fraction(bag) - purge) / Fraction(dose, 10)), 0)
    assert brews_per_bag(bag, dose / 10, purge) == expected


def test_print_run_worked():
    """40 bags: 40 + 2 + 3 = 45 inserts, 12 sheets of four, 48 printed."""
    run = print_run(40)
    assert (run.inserts, run.sheets, run.printed) == (45, 12, 48)
    assert print_run(0).printed == 0
    assert print_run(200).inserts == 200 + 2 + 6


@given(count=st.integers(1, 5000), per_sheet=st.integers(1, 600), share=st.floats(0, 1, exclude_max=True))
def test_print_run_covers_every_bag_with_spares_and_wastes_less_than_a_sheet(count, per_sheet, share):
    used_up = int(per_sheet * share)
    run = print_run(count, per_sheet, used_up)
    assert run.inserts >= count + 5
    assert 0 <= run.printed - run.inserts < per_sheet
    assert run.printed + used_up == run.sheets * per_sheet


def test_loss_both_ways():
    assert roast_loss(12, roasted_kg(12, 0.136)) == pytest.approx(0.136)


def test_published_losses():
    """Frost, Ristenpart & Guinard 2020, table 2."""
    assert [PUBLISHED_LOSS[level].value for level in (RoastLevel.LIGHT, RoastLevel.MEDIUM, RoastLevel.DARK)] == [
        0.1424,
        0.1514,
        0.1577,
    ]


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf])
def test_refuses_bad_numbers(bad):
    for call in (
        lambda: bags(bad, 0.136, 250),
        lambda: bags(12, bad, 250),
        lambda: bags(12, 0.136, bad),
        lambda: brews_per_bag(bad, 15),
        lambda: brews_per_bag(250, bad),
        lambda: print_run(bad),
        lambda: print_run(40, 4, bad),
        lambda: roast_loss(12, bad),
    ):
        with pytest.raises(OutOfRange):
            call()
    with pytest.raises(OutOfRange, match="whole"):
        print_run(2.5)
    with pytest.raises(OutOfRange, match="only loses"):
        roast_loss(12, 13)
