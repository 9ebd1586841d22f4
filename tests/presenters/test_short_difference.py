"""What an old card is told: one number, several, words only, nothing; in every language of the site."""

from __future__ import annotations

import pytest

from guides.lifecycle import snapshot
from guides.lifecycle.draft import open_next
from guides.models import GuideVersion, Step
from guides.presenters import short_difference
from guides.presenters.numbers import NO_BREAK
from guides.queries import versions
from tests.factories import GuideVersionFactory, published

pytestmark = pytest.mark.django_db


@pytest.fixture
def card() -> GuideVersion:
    return published(GuideVersionFactory())


def revised(card: GuideVersion, steps: dict[int, dict[str, object]] | None = None, **numbers: object) -> GuideVersion:
    draft = open_next(card.guide, by=card.created_by)
    GuideVersion.objects.filter(pk=draft.pk).update(**numbers)
    for place, columns in (steps or {}).items():
        Step.objects.filter(version=draft, position=place).update(**columns)
    return published(versions.by_id(draft.pk))


def told(card: GuideVersion, page: GuideVersion, language: str = "en") -> tuple[str, list[str]]:
    found = short_difference.between(snapshot.read(card), snapshot.read(page), language)
    return found.lead, [line.replace(NO_BREAK, " ") for line in found.lines]


def test_one_number(card: GuideVersion) -> None:
    page = revised(card, kettle_c="94.0")
    assert told(card, page) == ("Revision 2 changed this one number:", ["kettle 97 → 94 °C"])
    assert told(card, page, "sv") == ("Utgåva 2 ändrade bara det här talet:", ["kittel 97 → 94 °C"])
    assert told(card, page, "fi") == ("Versio 2 muutti vain tämän luvun:", ["keitin 97 → 94 °C"])


def test_several_and_the_water_is_told_once(card: GuideVersion) -> None:
    page = revised(card, {4: {"target_g": 270}, 2: {"end_s": 62}}, water_g="270.0", kettle_c="96.0")
    assert told(card, page) == (
        "Revision 2 changed these numbers:",
        ["water 264 → 270 g", "kettle 97 → 96 °C", "step 2: time 0:45–1:00 → 0:45–1:02"],
    )


def test_words_only(card: GuideVersion) -> None:
    page = revised(card, title="Outer Mark, clearer words")
    assert told(card, page) == ("Revision 2 changed words only; every number is the one on your card.", [])


def test_two_revisions_later_it_is_the_card_that_counts(card: GuideVersion) -> None:
    revised(card, kettle_c="94.0")
    page = revised(card, kettle_c="96.0")
    assert told(card, page) == ("One number is other than on your card:", ["kettle 97 → 96 °C"])


def test_gone_back_nothing_has_changed(card: GuideVersion) -> None:
    revised(card, kettle_c="94.0")
    page = revised(card, kettle_c="97.0")
    assert told(card, page) == ("Numbers and words are the same as on your card.", [])


def test_a_long_list_is_cut_and_says_so(card: GuideVersion) -> None:
    steps = {place: {"path": "centre", "height": "high"} for place in (1, 2, 3, 4)}
    lines = told(card, revised(card, steps, kettle_c="96.0", grind_um=700))[1]
    assert len(lines) == 6
    assert lines[-1] == "and 5 more"
