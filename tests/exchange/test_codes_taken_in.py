"""Codes that a database has forgotten are taken in again: each leads to the same lot, or it is said why not."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from guides.codes import short_code
from guides.exchange import codes_copied
from guides.exchange.codes_taken_in import take_in
from guides.jobs import recording
from guides.lifecycle import address, code_records, sites
from guides.lifecycle.errors import Refused
from guides.lifecycle.lots import register
from guides.lifecycle.publish import publish
from guides.models import Address, Coffee, Event, Guide, GuideVersion, Lot, Site, User, triggers
from guides.presenters.site_condition import Level, findings
from guides.queries import code_records as records
from guides.queries import condition
from guides.queries.code_records import STORE, Kind
from tests.factories import CoffeeFactory, GuideFactory, LotFactory, SiteFactory, published

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def lot(publisher: User) -> Lot:
    """A lot entered as at the desk, with its code."""
    coffee = CoffeeFactory(name="Rope Walk", code="RW", slug="rope-walk", gtin="09506000134352")
    return register(LotFactory.build(name="RW-101", coffee=coffee, rest_days=7, best_days=40), by=publisher)


def code_of(lot: Lot) -> str:
    return str(Address.objects.get(lot=lot).code)


def forget(*models: Any) -> None:
    """Bring the database back to before: as a restored backup of an earlier day would."""
    triggers.remove(connection)
    for model in (Address, Event, *models):
        model.objects.all().delete()
    triggers.install(connection)


def finding() -> Level:
    return next(line.level for line in findings(condition.now(), "en") if line.key == "codes")


def test_a_forgotten_code_leads_to_its_lot_again(lot: Lot, client: Client) -> None:
    code, made_at = code_of(lot), Address.objects.get().created_at
    forget()
    assert client.get(f"/L/{code}").status_code == 404
    assert finding() is Level.WRONG
    tried = take_in(keep=False)
    assert (list(tried.again), tried.unsettled, Address.objects.count()) == ([code], {}, 0)
    assert list(take_in(keep=True).again) == [code]
    again = Address.objects.get()
    assert (again.code, again.lot) == (code, lot)
    assert datetime.timedelta() <= made_at - again.created_at < datetime.timedelta(seconds=10)
    assert client.get(f"/L/{code}").status_code == 200
    assert finding() is Level.WELL
    assert take_in(keep=True).again == {}


def test_a_forgotten_lot_and_its_coffee_are_made_again_as_they_were(lot: Lot, client: Client) -> None:
    code = code_of(lot)
    was = {model: model.objects.values().get() for model in (Lot, Coffee)}
    forget(Lot, Coffee)
    said = take_in(keep=True)
    assert "RW-101 of Rope Walk" in said.again[code]
    assert "Choose its guides" in said.again[code]
    for model, row in was.items():
        new = model.objects.values().get()
        assert {name: value for name, value in new.items() if not name.endswith("id")} == {
            name: value for name, value in row.items() if not name.endswith("id")
        }
    assert "Rope Walk" in client.get(f"/L/{code}").content.decode()
    assert client.get("/01/09506000134352/10/RW-101").status_code == 307


def test_a_forgotten_site_is_made_again(publisher: User) -> None:
    site = SiteFactory(name="Three Larches")
    sites.record(site, by=publisher, is_new=True, fields={})
    forget(Site)
    assert list(take_in(keep=True).again) == [site.code]
    new = Site.objects.get()
    assert (new.code, new.name, new.altitude_m) == (site.code, "Three Larches", site.altitude_m)


def test_what_would_be_a_guess_is_left_and_said(lot: Lot, publisher: User) -> None:
    code = code_of(lot)
    forget(Lot)
    other = register(LotFactory.build(name="RW-101", coffee=CoffeeFactory()), by=publisher)
    with pytest.raises(CommandError) as said:
        call_command("take_in_codes", "--keep")
    assert f"{code} is NOT settled. It was made for a lot RW-101 of Rope Walk" in str(said.value)
    assert f"take_in_codes --lead {code}=THAT-NAME" in str(said.value)
    assert not Address.objects.filter(code=code).exists()
    right = LotFactory(name="RW-101B", coffee=Coffee.objects.get(code="RW"))
    call_command("take_in_codes", "--lead", f"{code}=RW-101B", "--keep")
    assert Address.objects.get(code=code).lot == right
    assert Address.objects.get(lot=other).code != code


def test_a_lot_that_was_entered_again_gets_its_old_code_beside_the_new_one(lot: Lot, publisher: User) -> None:
    code, coffee = code_of(lot), lot.coffee
    forget(Lot)
    again = register(LotFactory.build(name="RW-101", coffee=coffee), by=publisher)
    new = code_of(again)
    call_command("take_in_codes", "--keep")
    assert set(again.addresses.values_list("code", flat=True)) == {code, new}
    assert again.addresses.latest("created_at").code == new


def test_a_code_of_which_only_the_printed_register_is_left(lot: Lot) -> None:
    code = short_code.new()
    call_command("take_in_codes", "--lead", f"{code}=RW-101", "--keep")
    assert Address.objects.get(code=code).lot == lot
    assert records.recorded(Kind.LOT) >= {code}
    with pytest.raises(CommandError, match="leads to the lot RW-101 for ever"):
        call_command("take_in_codes", "--lead", f"{code}=RW-101", "--keep")
    with pytest.raises(CommandError, match="There is no lot XX-9"):
        call_command("take_in_codes", "--lead", f"{code}=XX-9")


def test_a_damaged_record_is_named(lot: Lot) -> None:
    code, store = code_of(lot), storages[STORE]
    name = records.name_of(Kind.LOT, code)
    store.delete(name)
    store.save(name, ContentFile(b'{"code": "'))
    forget()
    assert "damaged" in take_in(keep=True).unsettled[code]


def test_a_forgotten_code_is_never_given_to_another_lot(lot: Lot, monkeypatch: pytest.MonkeyPatch) -> None:
    code, fresh = code_of(lot), short_code.new()
    forget()
    draws = iter([code, fresh])
    monkeypatch.setattr(short_code, "new", lambda: next(draws))
    assert address.issue(LotFactory()).code == fresh
    # Control: without the records it would have been.
    storages[STORE].delete(records.name_of(Kind.LOT, code))
    monkeypatch.setattr(short_code, "new", lambda: code)
    assert address.issue(LotFactory()).code == code


def test_without_a_record_there_is_no_row(publisher: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_args: Any, **_fields: Any) -> str:
        raise OSError("No space left on device")

    monkeypatch.setattr(type(storages[STORE]), "save", full)
    with pytest.raises(Refused, match="No space left on device"):
        register(LotFactory.build(coffee=CoffeeFactory()), by=publisher)
    assert (Lot.objects.count(), Address.objects.count()) == (0, 0)


def test_codes_of_before_get_their_records_and_copies(lot: Lot, settings: Settings, tmp_path: Path) -> None:
    code, store = code_of(lot), storages[STORE]
    store.delete(records.name_of(Kind.LOT, code))
    assert finding() is Level.WATCH
    settings.BACKUP_COPY_TO = tmp_path
    kind = "guides.documents.write_once.WriteOnceStorage"
    settings.STORAGES = settings.STORAGES | {
        codes_copied.COPIES: {"BACKEND": kind, "OPTIONS": {"location": tmp_path / "codes"}}
    }
    recording.record_codes()
    assert finding() is Level.WELL
    # The machine is gone, and with it everything but the copies.
    copied = storages[codes_copied.COPIES]
    copied.save(records.name_of(Kind.EDITION, "12.3"), ContentFile(b"{}"))
    storages[STORE].delete(records.name_of(Kind.LOT, code))
    forget(Lot, Coffee)
    assert (list(take_in(keep=False).again), records.recorded(Kind.LOT)) == ([code], set())
    assert list(take_in(keep=True).again) == [code]
    assert records.recorded(Kind.LOT) == {code}
    assert records.highest_number() == 12


def test_a_store_that_is_not_reached_is_told(lot: Lot, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(*_args: Any) -> Any:
        raise ConnectionError("no route to host")

    monkeypatch.setattr(type(storages[STORE]), "listdir", gone)
    assert finding() is Level.WRONG
    recording.record_codes()  # other work goes on


def test_many_codes_are_recorded_at_once(publisher: User) -> None:
    coffee = CoffeeFactory()
    lots = [LotFactory(coffee=coffee) for _number in range(30)]
    made = address.issue_each(lots)
    assert records.recorded(Kind.LOT) == {row.code for row in made}
    record = records.read(Kind.LOT, made[3].code)
    assert record.rows["lot"]["name"] == made[3].lot.name
    assert datetime.datetime.fromisoformat(record.made_at) <= timezone.now()
    assert code_records.complete() == 0


def test_a_forgotten_guide_keeps_its_number_and_goes_on_behind_its_last_revision(publisher: User) -> None:
    first = published(guide=GuideFactory(number=12, slug="rope-walk-cone"))
    assert records.read(Kind.EDITION, "12.1").rows["snapshot"] == first.snapshot
    triggers.remove(connection)
    Event.objects.all().delete()
    first.guide.versions.all().delete()
    Guide.objects.all().delete()
    triggers.install(connection)
    assert finding() is Level.WRONG
    assert "revision 1 was published on" in take_in(keep=True).unsettled["12"]
    assert records.highest_number() == 12
    with pytest.raises(Refused, match="inserts carry 12 for the guide “rope-walk-cone”"):
        published(guide=GuideFactory(number=12, slug="another"))
    Guide.objects.filter(number=12).update(slug="rope-walk-cone")
    again = publish(GuideVersion.objects.get(guide__number=12), by=publisher, waiver_reason="Brewed before.")
    assert again.revision == 2
    assert finding() is Level.WELL
    said = take_in(keep=True)
    assert (said.unsettled, said.missing) == ({}, ["12.1"])


def test_revisions_of_before_get_their_records() -> None:
    version = published()
    name = records.name_of(Kind.EDITION, f"{version.guide.number}.1")
    storages[STORE].delete(name)
    assert finding() is Level.WATCH
    assert code_records.complete() == 1
    assert storages[STORE].exists(name)
