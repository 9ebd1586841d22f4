"""Entering a lot, its codes, and calling it back."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from guides.codes import short_code
from guides.lifecycle import address
from guides.lifecycle.lots import register
from guides.lifecycle.recall import recall
from guides.models import Address, Event, Lot, User
from guides.signals import lot_recalled
from tests.factories import CoffeeFactory, LotFactory, UserFactory

from .conftest import refused

pytestmark = pytest.mark.django_db


def test_a_new_lot_gets_a_code_and_a_line_in_the_trail(roaster: User) -> None:
    lot = register(LotFactory.build(coffee=CoffeeFactory(), name="OM-084"), by=roaster)
    assert short_code.is_valid(lot.addresses.get().code)
    assert Event.objects.get(lot=lot).verb == "created"


def test_a_bad_lot_leaves_nothing(roaster: User) -> None:
    bad = LotFactory.build(coffee=CoffeeFactory(), loss_percent=-1)
    with pytest.raises(ValidationError, match="Roast loss: 0 to 50 %"):
        register(bad, by=roaster)
    assert (Lot.objects.count(), Address.objects.count(), Event.objects.count()) == (0, 0, 0)


def test_a_name_is_used_once(roaster: User) -> None:
    LotFactory(name="OM-084")
    with pytest.raises(ValidationError, match="this one is used already"):
        register(LotFactory.build(coffee=CoffeeFactory(), name="OM-084"), by=roaster)


def test_a_taken_code_is_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = address.issue(LotFactory())
    fresh = short_code.new()
    draws = iter([taken.code, taken.code, fresh])
    monkeypatch.setattr(short_code, "new", lambda: next(draws))
    lot = LotFactory()
    assert address.issue(lot).code == fresh
    assert Address.objects.get(code=taken.code).lot != lot


def test_a_random_source_that_repeats_itself_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = address.issue(LotFactory())
    monkeypatch.setattr(short_code, "new", lambda: taken.code)
    with pytest.raises(RuntimeError, match="repeats itself"):
        address.issue(LotFactory())


def test_a_recall_says_who_when_and_why(publisher: User, django_capture_on_commit_callbacks: Any) -> None:
    told: list[int] = []

    def receiver(lot_id: int, **_kwargs: Any) -> None:
        told.append(lot_id)

    lot_recalled.connect(receiver)
    lot = LotFactory()
    with django_capture_on_commit_callbacks(execute=True):
        recall(lot, by=publisher, reason="A screw is missing from the cooling tray.")
    lot_recalled.disconnect(receiver)
    lot.refresh_from_db()
    assert lot.is_recalled
    assert (lot.recalled_by, lot.recall_reason) == (publisher, "A screw is missing from the cooling tray.")
    assert Event.objects.get(lot=lot, verb="recalled").reason == lot.recall_reason
    assert told == [lot.pk]


def test_a_recall_is_for_good_and_gives_a_reason(publisher: User) -> None:
    lot = LotFactory()
    with refused("Reason: say why", "recall_reason"):
        recall(lot, by=publisher, reason="")
    with refused("301 characters", "recall_reason"):
        recall(lot, by=publisher, reason="x" * 301)
    recall(lot, by=publisher, reason="A screw.")
    with refused("recalled already", "recalled_at"):
        recall(lot, by=publisher, reason="Another screw.")
    assert Lot.objects.get(pk=lot.pk).recall_reason == "A screw."


def test_a_packer_enters_no_lots() -> None:
    with refused("may not enter lots"):
        register(LotFactory.build(coffee=CoffeeFactory()), by=UserFactory(role="packer"))
