"""Every code ever printed is replayed after everything that may happen to what it leads to: 0 dead, 0 wrong."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.db import connection
from django.test import Client
from pytest_django import Settings

from guides.lifecycle.recall import recall
from guides.lifecycle.withdraw import withdraw
from guides.models import Address, Coffee, Guide, triggers

from . import world

pytestmark = [pytest.mark.django_db, pytest.mark.data]

LOTS = 6


@pytest.fixture
def printed() -> dict[str, str]:
    """Addresses as they stand on bags and inserts, with the coffee that each must still speak of."""
    world.roastery()
    found = {}
    for _number in range(LOTS):
        lot, code = world.bag()
        version = world.guide_for(lot)
        for form in (code, code.lower(), f"{code}/{version.guide.number}.{version.revision}.EN"):
            found[f"/L/{form}"] = lot.coffee.name
    return found


def dead_or_wrong(printed: dict[str, str], host: str = "guides.test") -> Iterator[str]:
    client = Client()
    for path, coffee in printed.items():
        answer = client.get(path, follow=True, headers={"host": host})
        if answer.status_code != 200 or coffee not in answer.content.decode():
            yield f"{path}: {answer.status_code}"


def test_every_code_leads_where_it_did(printed: dict[str, str], settings: Settings) -> None:
    assert list(dead_or_wrong(printed)) == []
    renamed, revised, withdrawn, recalled, pulled, _same = Address.objects.select_related("lot").order_by("pk")
    Coffee.objects.filter(lots=renamed.lot).update(slug="another-name-in-the-address")
    Guide.objects.filter(assignments__lot=renamed.lot).update(slug="another-guide")
    world.next_revision(world.assignment(revised.lot).guide.versions.get())
    withdraw(world.assignment(withdrawn.lot).guide.versions.get(), by=world.boss(), reason="It drains too fast.")
    recall(recalled.lot, by=world.boss(), reason="A screw may be in it.")
    world.assignment(pulled.lot).delete()
    assert list(dead_or_wrong(printed)) == []
    # The site moves to another name; the old one goes on leading here.
    settings.PUBLIC_BASE_URL, settings.ALLOWED_HOSTS = "https://new.example", ["new.example", "guides.test"]
    for host in settings.ALLOWED_HOSTS:
        assert list(dead_or_wrong(printed, host)) == []
    register = Client()
    register.force_login(world.boss())
    page = register.get("/admin/register/", headers={"host": "new.example"}).content.decode()
    assert [code for code in Address.objects.values_list("code", flat=True) if code not in page] == []
    assert "https://new.example" in page


def test_control_a_code_that_was_lost_is_noticed(printed: dict[str, str]) -> None:
    triggers.remove(connection)
    Address.objects.filter(pk=Address.objects.first().pk).delete()  # type: ignore[union-attr]
    assert len(list(dead_or_wrong(printed))) == 3
