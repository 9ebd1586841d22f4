"""Every code ever printed is replayed after everything that may happen to what it leads to: 0 dead, 0 wrong."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test import Client
from pytest_django import Settings

from guides.codes import gs1
from guides.lifecycle.draft import open_next
from guides.lifecycle.merge_coffees import merge
from guides.lifecycle.recall import recall
from guides.lifecycle.retire import retire
from guides.lifecycle.withdraw import withdraw
from guides.models import Address, Coffee, Guide, Site, triggers
from guides.models.base import FrozenRow
from tests.factories import CoffeeFactory, GuideFactory
from tests.factories.sites import SiteFactory

from . import world

pytestmark = [pytest.mark.django_db, pytest.mark.data]

ROUNDS = 5 if os.environ.get("FULL_COUNTS") == "1" else 1
LOTS = 10 * ROUNDS
"""Each thing that may happen, happens to one lot of every round."""

Words = dict[str, set[str]]


def gtin_of(number: int) -> str:
    """One of the range that GS1 sets aside for examples."""
    digits = f"0950600013{number:03}"
    return digits + gs1.check_digit(digits)


@pytest.fixture
def printed() -> Words:
    """Addresses as they stand on bags and inserts, with the coffee and the lot that each must still speak of."""
    world.roastery()
    found = {}
    for number in range(LOTS):
        gtin = gtin_of(number)
        lot, code = world.bag(coffee__gtin=gtin)
        version = world.guide_for(lot)
        edition = f"{version.guide.number}.{version.revision}.EN"
        for form in (code, code.lower(), f"{code}/{edition}"):
            found[f"/L/{form}"] = {lot.coffee.name, lot.name}
        found[f"/01/{gtin}/10/{lot.name}"] = {lot.coffee.name, lot.name}
        site = SiteFactory()
        site.guides.add(version.guide)
        found[f"/S/{site.code}/{edition}"] = {lot.coffee.name}
    return found


def dead_or_wrong(printed: Words, host: str = "guides.test") -> Iterator[str]:
    client = Client()
    for path, words in printed.items():
        answer = client.get(path, follow=True, headers={"host": host})
        text = answer.content.decode()
        if answer.status_code != 200 or not all(word in text for word in words):
            yield f"{path}: {answer.status_code}"


def live_on(codes: Sequence[Address], printed: Words) -> None:
    """Let everything happen that may happen to what ten codes lead to."""
    renamed, revised, withdrawn, recalled, pulled, retired, merged, back, joined, _same = codes
    Coffee.objects.filter(lots=renamed.lot).update(slug=f"another-name-{renamed.code.lower()}")
    Guide.objects.filter(assignments__lot=renamed.lot).update(slug=f"another-guide-{renamed.code.lower()}")
    world.next_revision(world.assignment(revised.lot).guide.versions.get())
    withdraw(world.assignment(withdrawn.lot).guide.versions.get(), by=world.boss(), reason="It drains too fast.")
    recall(recalled.lot, by=world.boss(), reason="A screw may be in it.")
    world.assignment(pulled.lot).delete()
    retire(world.assignment(retired.lot).guide, by=world.boss(), reason="We sell it no more.")
    Coffee.objects.filter(lots=retired.lot).update(is_current=False)
    kept = world.published(guide=GuideFactory(coffee=merged.lot.coffee)).guide
    retire(world.assignment(merged.lot).guide, by=world.boss(), reason="Two were one.", replacement=kept)
    gone = world.assignment(back.lot).guide
    retire(gone, by=world.boss(), reason="Too hot.")
    world.published(open_next(gone, by=world.boss()))
    # Two coffees become one: its bags speak of the one that remains, and still of their own lot.
    was, remains = joined.lot.coffee, CoffeeFactory()
    merge(was, remains, by=world.boss(), reason="Entered twice.")
    for path, words in printed.items():
        if was.name in words and not path.startswith("/S/"):
            printed[path] = words - {was.name} | {remains.name}


def test_every_code_leads_where_it_did(printed: Words, settings: Settings) -> None:
    assert list(dead_or_wrong(printed)) == []
    codes = list(Address.objects.select_related("lot__coffee").order_by("pk"))
    for begin in range(0, LOTS, 10):
        live_on(codes[begin : begin + 10], printed)
    assert list(dead_or_wrong(printed)) == []
    # The site moves to another name; the old one goes on leading here.
    settings.PUBLIC_BASE_URL, settings.ALLOWED_HOSTS = "https://new.example", ["new.example", "guides.test"]
    for host in settings.ALLOWED_HOSTS:
        assert list(dead_or_wrong(printed, host)) == []
    register = Client()
    register.force_login(world.boss())
    page = register.get("/admin/register/", headers={"host": "new.example"}).content.decode()
    assert [code for code in Address.objects.values_list("code", flat=True) if code not in page] == []
    assert [code for code in Site.objects.values_list("code", flat=True) if code not in page] == []
    assert "https://new.example" in page
    print(f"{connection.vendor}: {len(printed)} addresses of {LOTS} lots, each replayed four times: 0 dead, 0 wrong")


def test_a_gtin_in_printed_links_stays_and_says_why(printed: Words) -> None:
    coffee = Coffee.objects.order_by("pk").first()
    assert coffee is not None
    for other in (gtin_of(999), ""):
        coffee.gtin = other
        with pytest.raises(FrozenRow, match="Make a new coffee"):
            coffee.save()
        with pytest.raises(ValidationError, match="Make a new coffee") as refused:
            coffee.full_clean()
        assert set(refused.value.message_dict) == {"gtin"}
    with pytest.raises(IntegrityError), transaction.atomic():
        Coffee.objects.filter(pk=coffee.pk).update(gtin=gtin_of(999))
    # Control: past model and database, it is what kills the link.
    triggers.remove(connection)
    Coffee.objects.filter(pk=coffee.pk).update(gtin=gtin_of(999))
    assert [line for line in dead_or_wrong(printed) if line.startswith("/01/")] != []


def test_control_a_code_that_was_lost_is_noticed(printed: Words) -> None:
    triggers.remove(connection)
    Address.objects.filter(pk=Address.objects.first().pk).delete()  # type: ignore[union-attr]
    assert len(list(dead_or_wrong(printed))) == 4
