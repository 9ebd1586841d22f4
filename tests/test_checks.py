"""Every check of the site: silent when all is well, and clear when it is not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.core import checks
from django.core.management import call_command
from django.db import connection

from guides import checks as ours
from guides.lifecycle import roles
from guides.models import Roastery, triggers


def ids(found: list[checks.CheckMessage]) -> list[str | None]:
    return [message.id for message in found]


@pytest.fixture
def real_site(settings: Any) -> Any:
    settings.DEBUG = settings.DEMO = False
    settings.PUBLIC_BASE_URL = "https://guides.example"
    return settings


@pytest.mark.django_db
@pytest.mark.data
def test_a_missing_guard_is_counted_named_and_cured() -> None:
    assert ours.guards_in_place(databases=["default"]) == []
    with connection.cursor() as cursor:
        table = ' ON "guides_event"' if connection.vendor == "postgresql" else ""
        cursor.execute(f'DROP TRIGGER "guard_event_update"{table}')
    [message] = ours.guards_in_place(databases=["default"])
    assert message.id == "guides.E001"
    assert message.msg.startswith(f"1 of {len(triggers.expected_names(connection.vendor))} guards")
    assert "guard_event_update" in message.msg
    call_command("migrate", skip_checks=True, verbosity=0)
    assert ours.guards_in_place(databases=["default"]) == []


@pytest.mark.django_db
def test_demo_rows_belong_to_a_demo(real_site: Any) -> None:
    roastery = Roastery.objects.create(name="Mossgull Roasting Room")
    assert ours.demo_kept_apart(databases=["default"]) == []
    Roastery.objects.filter(pk=roastery.pk).update(is_demo=True)
    assert ids(ours.demo_kept_apart(databases=["default"])) == ["guides.E002"]
    real_site.DEMO = True
    assert ours.demo_kept_apart(databases=["default"]) == []


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("https://guides.example", []),
        ("http://127.0.0.1:8000", ["guides.E003"]),
        ("https://localhost", ["guides.E003"]),
        ("http://[::1]:8000", ["guides.E003"]),
        ("http://guides.example", ["guides.W004"]),
    ],
)
def test_the_printed_address_reaches_customers(real_site: Any, address: str, expected: list[str]) -> None:
    real_site.PUBLIC_BASE_URL = address
    assert ids(ours.printed_address()) == expected
    real_site.DEMO = True
    assert ours.printed_address() == []


def test_a_site_answers_to_its_own_names_only(real_site: Any) -> None:
    real_site.ALLOWED_HOSTS = ["guides.example"]
    assert ours.hosts_named() == []
    real_site.ALLOWED_HOSTS = ["guides.example", "*"]
    assert ids(ours.hosts_named()) == ["guides.E005"]


def test_missing_libraries_of_the_pdf_engine_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    assert ours.inserts_printable() == []
    monkeypatch.setattr("guides.documents.engine_needs._loads", lambda library: "pangoft2" not in library)
    (found,) = ours.inserts_printable()
    assert found.id == "guides.W007"
    assert found.hint == "Type: sudo apt-get install libpangoft2-1.0-0"


@pytest.mark.django_db
@pytest.mark.data
def test_the_journal_is_told_for_sqlite_only() -> None:
    found = ours.journal_chosen(databases=["default"])
    assert ids(found) == (["guides.I006"] if connection.vendor == "sqlite" else [])


@pytest.mark.parametrize("check", [ours.guards_in_place, ours.demo_kept_apart, ours.journal_chosen])
def test_database_checks_wait_to_be_asked(check: Callable[..., list[checks.CheckMessage]]) -> None:
    """No database named: none is touched (this test may not use one)."""
    assert check() == []


def test_every_check_runs_with_the_site() -> None:
    registered = checks.registry.registry.get_checks()
    for name in (
        "guards_in_place",
        "demo_kept_apart",
        "printed_address",
        "hosts_named",
        "inserts_printable",
        "journal_chosen",
    ):
        assert getattr(ours, name) in registered


@pytest.mark.django_db
def test_migrating_puts_groups_right() -> None:
    roles.Group.objects.get(name="packer").permissions.clear()
    call_command("migrate", skip_checks=True, verbosity=0)
    assert roles.Group.objects.get(name="packer").permissions.count() == len(roles.GROUPS["packer"])
