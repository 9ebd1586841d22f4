"""Opening a blind tasting: codes, numbers, and what is refused."""

from __future__ import annotations

import pytest
from django.utils import timezone

from guides.lifecycle.errors import Refused
from guides.lifecycle.tastings.open import open_tasting
from tests.factories import LotFactory, TrialBrewFactory, UserFactory
from tests.factories.tastings import opened

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("kind", "samples", "cups"), [("preference", 2, 2), ("preference", 4, 4), ("triangle", 2, 4)])
def test_every_cup_stands_under_a_code_of_its_own(kind, samples, cups):
    tasting = opened(kind, samples)
    rows = list(tasting.cups.all())
    assert len(rows) == len({cup.code for cup in rows}) == cups
    assert all(cup.code.isdecimal() and 100 <= int(cup.code) <= 999 for cup in rows)
    assert {cup.sample for cup in rows} == set(range(1, samples + 1))
    assert tasting.number.isdecimal()
    assert len(tasting.number) == 6


def test_codes_say_nothing_of_what_is_poured():
    """Over many tastings the first thing chosen has the lower code about half the time."""
    lots = LotFactory.create_batch(2)
    lower = 0
    for _ in range(60):
        first, second = (int(cup.code) for cup in opened(things=lots).cups.order_by("sample"))
        lower += first < second
    assert 10 < lower < 50  # outside by luck once in ten million: binomial, 60 throws of a coin


def test_a_cup_is_of_a_brew_or_of_a_lot():
    brew, lot = TrialBrewFactory(), LotFactory()
    tasting = opened(things=[brew, lot])
    first, second = tasting.cups.order_by("sample")
    assert (first.trial_brew, first.lot, second.trial_brew, second.lot) == (brew, None, None, lot)


@pytest.mark.parametrize(
    ("kind", "count", "words"),
    [("preference", 1, "Two to four"), ("preference", 5, "Two to four"), ("triangle", 3, "compares two, and 3")],
)
def test_too_few_or_too_many_are_refused(kind, count, words):
    with pytest.raises(Refused, match=words):
        opened(kind, count)


def test_the_same_twice_no_title_and_recalled_coffee_are_refused_together():
    lot = LotFactory(recalled_at=timezone.now(), recalled_by=UserFactory(), recall_reason="A screw.")
    with pytest.raises(Refused) as refused:
        open_tasting("preference", " ", [lot, lot], by=UserFactory(role="roaster"))
    said = str(refused.value)
    assert "say it in a few words" in said
    assert "chosen twice" in said
    assert f"nobody drinks it: {lot.name}" in said
