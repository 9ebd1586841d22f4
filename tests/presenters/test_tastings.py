"""What a blind tasting comes to is said as far as ISO 4120 and the binomial test allow, and no further."""

from __future__ import annotations

import pytest
from django.test import override_settings
from django.utils.translation import override

from guides.lifecycle.tastings.reveal import reveal
from guides.lifecycle.tastings.send import CANNOT_SAY, send
from guides.models import Tasting
from guides.presenters import tasting_addresses, tastings
from guides.queries.tastings import whole
from tests.factories import UserFactory
from tests.factories.tastings import opened, seated, token

pytestmark = pytest.mark.django_db


def triangle(right: int, tasted: int) -> Tasting:
    """So many of so many find the odd cup."""
    tasting = opened("triangle")
    sample_of = {cup.code: cup.sample for cup in tasting.cups.all()}
    for number in range(tasted):
        taster = seated(tasting)
        samples = [sample_of[code] for code in taster.order]
        odd = next(code for code in taster.order if samples.count(sample_of[code]) == 1)
        choice = odd if number < right else next(code for code in taster.order if code != odd)
        send(taster, token=token(), notes={}, choice=choice)
    return reveal(tasting, by=UserFactory(role="roaster"))


def preference(*counts: int, unsaid: int = 0) -> Tasting:
    """So many like each sample best."""
    tasting = opened("preference", len(counts))
    codes = [cup.code for cup in tasting.cups.order_by("sample")]
    for choice in [code for code, count in zip(codes, counts, strict=True) for _ in range(count)] + [
        CANNOT_SAY
    ] * unsaid:
        send(seated(tasting), token=token(), notes={}, choice=choice)
    return reveal(tasting, by=UserFactory(role="roaster"))


def told(tasting: Tasting) -> tastings.Result:
    found = tastings.result(whole().get(pk=tasting.pk), "en")
    return tastings.Result(
        found.poured, *(text.replace("\N{NO-BREAK SPACE}", " ") for text in (found.counted, found.luck, found.so))
    )


@pytest.mark.parametrize(
    ("right", "tasted", "luck", "so"),
    [
        # ISO 4120, 5 %: five of six are needed. Chances by the binomial with one third.
        (5, 6, "in 2 % of such tests", "From 5 right answers on"),
        (4, 6, "in 10 % of such tests", "It takes 5"),
        (2, 2, "in 11 % of such tests", "prove nothing"),
    ],
)
def test_a_triangle_is_judged_by_the_table_of_the_standard(right, tasted, luck, so):
    found = told(triangle(right, tasted))
    assert found.counted == f"{right} of {tasted} found the odd cup."
    assert luck in found.luck
    assert so in found.so


def test_not_enough_right_answers_do_not_say_that_both_are_the_same():
    assert "not shown either" in told(triangle(2, 6)).so


def test_a_preference_is_told_with_its_chance():
    """Nine of ten: two-sided binomial 0.0215."""
    found = told(preference(9, 1))
    assert found.counted.startswith("9 of 10 liked this best")
    assert "in 2 % of such tastings" in found.luck
    assert "these tasters prefer it" in found.so
    assert [each.chosen for each in found.poured] == [9, 1]


def test_a_tie_and_those_who_could_not_say_are_told():
    found = told(preference(2, 2, 1, unsaid=2))
    assert "2 of 5 each liked these best" in found.counted
    assert "2 could not say and are not counted" in found.counted
    assert "may well be luck" in found.so


def test_when_nobody_could_say_there_is_no_chance_to_give():
    found = told(preference(0, 0, unsaid=1))
    assert found.luck == ""
    assert "Choose by what the notes say" in found.so


def test_words_come_in_the_language_that_is_active():
    tasting = triangle(1, 1)
    with override("sv"):
        assert "1 av 1" in tastings.result(whole().get(pk=tasting.pk), "sv").counted


# Addresses


def test_a_signed_address_is_read_in_either_case_and_says_its_place():
    for seat in (None, 7):
        text = tasting_addresses.token("482913", seat)
        assert tasting_addresses.read(text) == tasting_addresses.read(text.lower()) == ("482913", seat)


def test_nobody_makes_up_an_address_or_moves_to_another_place():
    text = tasting_addresses.token("482913", 7)
    signature = text.rpartition("-")[2]
    for forged in (f"482913-8-{signature}", f"482913-{signature}", "482913-7-" + "A" * 12, "482913", "x" * 200):
        assert tasting_addresses.read(forged) is None


def test_a_renewed_key_keeps_the_places_of_the_old_one():
    text = tasting_addresses.token("482913", 7)
    with override_settings(SECRET_KEY="y" * 60, SECRET_KEY_FALLBACKS=[]):
        assert tasting_addresses.read(text) is None
    from django.conf import settings

    with override_settings(SECRET_KEY="y" * 60, SECRET_KEY_FALLBACKS=[settings.SECRET_KEY]):
        assert tasting_addresses.read(text) == ("482913", 7)
