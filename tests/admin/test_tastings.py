"""Blind tastings at the desk: opened with a few ticks, nothing told before the reveal."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from guides.models import Tasting
from guides.presenters import tasting_addresses
from tests.factories import LotFactory, TrialBrewFactory, UserFactory
from tests.factories.tastings import opened, tasted

from .addresses import act, add, change

pytestmark = pytest.mark.django_db


def test_it_is_opened_from_brews_and_lots_with_one_form(at_desk, text_of):
    brew, lot, roaster = TrialBrewFactory(), LotFactory(), UserFactory(role="roaster")
    desk = at_desk(roaster)
    fields = {"kind": "preference", "title": "Crop or roast", "cups": [f"b{brew.pk}", f"l{lot.pk}"]}
    page = desk.post(add(Tasting), fields, follow=True)
    tasting = Tasting.objects.get()
    assert tasting.opened_by == roaster
    assert {cup.trial_brew or cup.lot for cup in tasting.cups.all()} == {brew, lot}
    text = text_of(page)
    assert tasting.number in text
    assert f"/t/{tasting_addresses.token(tasting.number)}" in text


def test_what_cannot_be_tasted_together_says_why_at_its_field(at_desk, text_of):
    lots = LotFactory.create_batch(3)
    fields = {"kind": "triangle", "title": "Crops", "cups": [f"l{lot.pk}" for lot in lots]}
    page = at_desk().post(add(Tasting), fields)
    assert "A triangle test compares two, and 3 are chosen." in text_of(page)
    assert page.content.decode().count("checked") == 3
    assert not Tasting.objects.exists()


def test_recalled_lots_are_not_offered(at_desk):
    lot = LotFactory(recalled_at="2026-05-04T12:00:00Z", recalled_by=UserFactory(), recall_reason="A screw.")
    assert f'value="l{lot.pk}"' not in at_desk().get(add(Tasting)).content.decode()


def test_choices_and_notes_show_only_after_the_reveal(at_desk, text_of):
    tasting, desk = tasted(), at_desk()
    before = text_of(desk.get(change(tasting)))
    assert "Tea rose" not in before
    assert "chosen" not in before.replace("are chosen", "")
    assert desk.post(act(tasting, "reveal")).status_code == 302
    after = text_of(desk.get(change(tasting)))
    assert "Tea rose" in after
    assert "1 of 1 liked this best" in after


def test_it_costs_as_many_queries_for_many_tasters_as_for_one(at_desk):
    tasting, desk = tasted(), at_desk()

    def cost() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert desk.get(change(tasting)).status_code == 200
        return len(captured)

    cost()
    one = cost()
    for _ in range(5):
        tasted(tasting)
    assert cost() == one


def test_what_is_open_is_not_changed_and_readers_only_look(at_desk):
    tasting = opened()
    assert at_desk().post(change(tasting), {"title": "Other"}).status_code == 403
    reader = at_desk(role="reader")
    assert reader.get(change(tasting)).status_code == 200
    assert reader.post(act(tasting, "reveal")).status_code == 403


def test_a_tasting_may_be_deleted_with_all_that_tasters_typed(at_desk):
    tasting = tasted()
    assert at_desk().post(f"/admin/guides/tasting/{tasting.pk}/delete/", {"post": "yes"}).status_code == 302
    assert not Tasting.objects.exists()
