"""Joining: places, and orders that stay balanced."""

from __future__ import annotations

from collections import Counter

import pytest
from django.utils import timezone

from guides.calculations.serving_order import preference_orders, triangle_orders
from guides.lifecycle.errors import Refused
from guides.lifecycle.form_token import TokenRefused
from guides.lifecycle.tastings import join as joining
from guides.lifecycle.tastings.join import join
from guides.lifecycle.tastings.reveal import reveal
from tests.factories import LotFactory, UserFactory
from tests.factories.tastings import opened, seated, tasted, token

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("kind", "samples", "orders"),
    [
        ("triangle", 2, triangle_orders()),
        ("preference", 3, preference_orders(3)),
        ("preference", 4, preference_orders(4)),
    ],
)
def test_orders_are_used_equally_often(kind, samples, orders):
    tasting = opened(kind, samples)
    sample_of = {cup.code: cup.sample for cup in tasting.cups.all()}
    tasters = [seated(tasting) for _ in range(2 * len(orders))]
    used = Counter(tuple(sample_of[code] for code in taster.order) for taster in tasters)
    assert used == dict.fromkeys(orders, 2)
    assert [taster.seat for taster in tasters] == list(range(1, 2 * len(orders) + 1))
    assert all(len(set(taster.order)) == len(taster.order) for taster in tasters)


def test_a_name_is_kept_if_it_is_typed_and_not_asked_for():
    tasting = opened()
    assert join(tasting, token=token()).name == ""
    assert join(tasting, token=token(), name="  T.  A. ").name == "T. A."


def test_too_long_a_name_is_refused():
    with pytest.raises(Refused, match="Initials will do"):
        join(opened(), token=token(), name="T" * 21)


def test_nobody_joins_what_is_revealed():
    tasting = reveal(tasted(), by=UserFactory(role="roaster"))
    with pytest.raises(Refused, match="has been revealed"):
        seated(tasting)


def test_one_form_gives_one_place():
    tasting, once = opened(), token()
    join(tasting, token=once)
    with pytest.raises(TokenRefused):
        join(tasting, token=once)
    assert tasting.tasters.count() == 1


def test_places_run_out(monkeypatch):
    monkeypatch.setattr(joining, "MOST_TASTERS", 1)
    tasting = opened()
    seated(tasting)
    with pytest.raises(Refused, match="places are taken"):
        seated(tasting)


def test_a_lot_recalled_meanwhile_stops_the_table():
    lots = LotFactory.create_batch(2)
    tasting = opened(things=lots)
    lots[0].recalled_at, lots[0].recalled_by, lots[0].recall_reason = timezone.now(), UserFactory(), "A screw."
    lots[0].save()
    with pytest.raises(Refused, match=f"lot {lots[0].name} is recalled. Don't drink it"):
        seated(tasting)
