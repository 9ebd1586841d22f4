"""What the lifecycle refuses when a form is saved stands on the form, with everything typed still there."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.storage import storages
from django.utils import timezone

from guides.models import Event, Lot, Site
from tests.factories import CoffeeFactory

from .addresses import add

pytestmark = [pytest.mark.django_db]


@pytest.fixture
def full(monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk that codes are written down on takes nothing more."""

    def save(*_arguments: Any, **_options: Any) -> str:
        raise OSError("No space left on device")

    monkeypatch.setattr(type(storages["codes"]), "save", save)


def typed(model: type) -> dict[str, str]:
    if model is Site:
        return {"name": "Ferry landing", "place": "Ulvarsund", "altitude_m": "12"}
    coffee = CoffeeFactory()
    weights = {"green_kg": "12", "loss_percent": "12.1"}
    return {"name": "OM-084", "coffee": str(coffee.pk), "roasted_on": str(timezone.localdate()), **weights}


@pytest.mark.parametrize("model", [Lot, Site])
def test_a_code_that_cannot_be_written_down_is_said_on_the_form(model, full, at_desk, roaster, filled, text_of) -> None:
    desk, entries = at_desk(roaster), typed(model)
    answer = desk.post(add(model), filled(desk, add(model)) | entries)
    assert answer.status_code == 200
    said = text_of(answer)
    assert "could not be written down outside the database" in said
    assert "No space left on device" in said
    assert f'value="{entries["name"]}"' in answer.content.decode()
    assert not model.objects.exists()
    assert not Event.objects.exists()


@pytest.mark.parametrize("model", [Lot, Site])
def test_with_room_the_same_is_kept(model, at_desk, roaster, filled) -> None:
    desk = at_desk(roaster)
    entries = typed(model)
    assert desk.post(add(model), filled(desk, add(model)) | entries).status_code == 302
    assert model.objects.get().name == entries["name"]
