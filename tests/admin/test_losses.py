"""A loss that is off its history stands out on pages, lists and the start of the desk, and names the history."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.admin import waiting
from guides.models import GreenLot, Lot, Roast
from tests.factories import CoffeeFactory, LotFactory

from .addresses import act, change

pytestmark = pytest.mark.django_db


@pytest.fixture
def lots():
    """Of one coffee, a week apart; the last lost 0.8 points more than the middle of the others."""
    coffee, today = CoffeeFactory(name="Outer Mark"), timezone.localdate()
    losses = ("11.9", "12.1", "11.8", "12.7")
    return [
        LotFactory(
            coffee=coffee, name=f"OM-{n}", loss_percent=loss, roasted_on=today - datetime.timedelta(days=7 * (3 - n))
        )
        for n, loss in enumerate(losses)
    ]


def test_a_page_names_the_history_and_marks_what_is_off(at_desk, text_of, lots):
    desk = at_desk()
    page = text_of(desk.get(change(lots[3])))
    assert "Look into it: lost 12.7 %, 0.8 points more than the 11.9 % of OM-2, OM-1, OM-0" in page
    assert "Look into it" not in text_of(desk.get(change(lots[2])))
    assert "the first of its coffee at this roast" in text_of(desk.get(change(lots[0])))


def test_it_waits_with_its_reason_until_it_is_explained(at_desk, roaster, reader, text_of, lots):
    (section,) = [each for each in waiting.sections(roaster) if each.key == "losses"]
    assert [(line.text, line.address) for line in section.lines] == [("OM-3", act(lots[3], "explain-loss"))]
    assert "0.8 points more than the" in section.lines[0].note
    assert "losses" not in {each.key for each in waiting.sections(reader)}
    desk = at_desk(roaster)
    assert "OM-3" in text_of(desk.get(section.address))
    assert desk.post(act(lots[3], "explain-loss"), {"reason": "A drier crop."}).status_code == 302
    assert "losses" not in {each.key for each in waiting.sections(roaster)}
    assert "A drier crop." in text_of(desk.get(change(lots[3])))
    assert "OM-3" not in text_of(desk.get(section.address))


def test_another_coffee_another_roast_and_later_lots_are_no_history(at_desk, text_of, lots):
    LotFactory(name="KL-1", loss_percent="16.0", roasted_on=lots[3].roasted_on)
    dark = LotFactory(coffee=lots[0].coffee, name="OM-9", roast_level="dark", loss_percent="16.0")
    page = text_of(at_desk().get(change(dark)))
    assert "the first of its coffee at this roast" in page
    assert Lot.objects.count() == 6


def test_a_roast_is_compared_with_roasts_of_its_green_lot(at_desk, text_of):
    green, today = GreenLot.objects.create(name="Outer Mark, new crop", mass_kg=60), timezone.localdate()
    for n, roasted in enumerate(("10.56", "10.57", "10.40")):
        Roast.objects.create(name=f"R{n}", green_lot=green, roasted_on=today, green_kg=12, roasted_kg=roasted)
    page = text_of(at_desk().get(change(Roast.objects.get(name="R2"))))
    assert "Look into it: lost 13.3 %, 1.38 points more than the 12.0 % of R1, R0" in page
