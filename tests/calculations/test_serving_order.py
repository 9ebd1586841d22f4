"""Orders of cups are balanced as Williams 1949 asks, and a triangle has the six of ISO 4120."""

from collections import Counter
from itertools import pairwise, permutations

import pytest

from guides.calculations.serving_order import preference_orders, triangle_orders
from guides.calculations.validity import OutOfRange


@pytest.mark.parametrize("samples", [2, 3, 4])
def test_every_cup_has_every_place_and_follows_every_other_equally_often(samples):
    orders = preference_orders(samples)
    assert len(set(orders)) == len(orders)
    places = Counter((cup, place) for order in orders for place, cup in enumerate(order))
    after = Counter(pair for order in orders for pair in pairwise(order))
    assert len(places) == samples**2
    assert set(after) == set(permutations(range(1, samples + 1), 2))
    assert len(set(places.values())) == len(set(after.values())) == 1


@pytest.mark.parametrize("samples", [1, 5, 2.5])
def test_other_numbers_of_cups_are_refused(samples):
    with pytest.raises(OutOfRange, match="samples"):
        preference_orders(samples)


def test_a_triangle_is_set_out_in_six_ways():
    """ISO 4120: ABB, BAA, AAB, BBA, ABA, BAB."""
    letters = {"".join("?AB"[cup] for cup in order) for order in triangle_orders()}
    assert letters == {"ABB", "BAA", "AAB", "BBA", "ABA", "BAB"}
