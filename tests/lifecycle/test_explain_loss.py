"""A loss that was looked into leaves the desk until it is corrected."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.lifecycle.errors import Refused
from guides.lifecycle.explain_loss import explain
from guides.models import Lot
from guides.queries import losses
from tests.factories import CoffeeFactory, LotFactory, UserFactory

pytestmark = pytest.mark.django_db


def test_it_waits_until_it_is_explained_and_again_when_it_is_corrected():
    today, coffee = timezone.localdate(), CoffeeFactory()
    LotFactory(coffee=coffee, name="OM-1", loss_percent="11.9", roasted_on=today - datetime.timedelta(days=9))
    lot = LotFactory(coffee=coffee, name="OM-2", loss_percent="12.6", roasted_on=today)
    assert [found.name for found, _loss in losses.unexplained(today)] == ["OM-2"]
    explain(lot, by=UserFactory(role="roaster"), reason="The scale was reset.")
    assert losses.unexplained(today) == []
    event = losses.explanation(Lot.objects.get(pk=lot.pk))
    assert event is not None
    assert event.reason == "The scale was reset."
    Lot.objects.filter(pk=lot.pk).update(loss_percent="12.8")
    assert [found.name for found, _loss in losses.unexplained(today)] == ["OM-2"]
    assert losses.explanation(Lot.objects.get(pk=lot.pk)) is None


def test_a_reason_is_asked_for():
    with pytest.raises(Refused, match="say why"):
        explain(LotFactory(), by=UserFactory(role="roaster"), reason=" ")
