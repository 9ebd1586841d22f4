"""How the site is: what is wrong is said with what to do, on the page, on the start, to watchers and by a check."""

from __future__ import annotations

import datetime
import shutil
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from guides import checks
from guides.choices import JobState
from guides.jobs import workers
from guides.models import Backup, JobRun, Worker, triggers
from guides.presenters.site_condition import Level, findings
from guides.queries import condition
from tests.factories import LotFactory, UserFactory

pytestmark = pytest.mark.django_db

HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def well(settings: Settings, tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A site with work in it that needs nobody."""
    settings.BACKUP_COPY_TO = tmp_path
    LotFactory()
    backup(HOUR, copied_at=timezone.now(), proven_at=timezone.now())
    workers.say_alive()
    disk(monkeypatch, free=50)
    yield
    workers.say_stopped()


def backup(age: datetime.timedelta, **fields: Any) -> Backup:
    made_at = timezone.now() - age
    return Backup.objects.create(file=f"roastery-{made_at:%Y%m%d}.zip", made_at=made_at, size_bytes=4_000_000, **fields)


def disk(monkeypatch: pytest.MonkeyPatch, free: float) -> None:
    usage = shutil._ntuple_diskusage(100 * 10**9, 0, int(free * 10**9))  # type: ignore[attr-defined]
    monkeypatch.setattr("guides.queries.condition.shutil.disk_usage", lambda _path: usage)


def levels() -> dict[str, Level]:
    return {line.key: line.level for line in findings(condition.now(), "en") if line.level is not Level.WELL}


@pytest.mark.data
def test_a_site_that_is_well_needs_nobody(well: None, client: Client) -> None:
    assert levels() == {}
    answer = client.get("/health/upkeep", headers={"host": "172.17.0.3"})
    assert (answer.status_code, answer.json()) == (200, {"upkeep": "ok"})
    assert checks.kept_up(databases=["default"]) == []


WRONG: dict[str, tuple[Callable[[pytest.MonkeyPatch], object], str, str | None]] = {
    "backups": (lambda _m: Backup.objects.update(made_at=timezone.now() - 40 * HOUR), "backups", "guides.W009"),
    "no backup": (lambda _m: Backup.objects.all().delete(), "backups", "guides.W009"),
    "no copy": (lambda _m: Backup.objects.update(copied_at=None), "backups", "guides.W009"),
    "a fault": (lambda _m: Backup.objects.update(proven_at=None, fault="rows differ"), "proof", None),
    "disk": (lambda m: disk(m, free=0.5), "disk", "guides.W010"),
    "clock": (lambda m: m.setattr(condition, "_ahead_of_us", lambda: HOUR), "clock", "guides.W011"),
    "no worker": (lambda _m: Worker.objects.all().delete(), "workers", None),
    "a worker that was killed": (
        lambda _m: Worker.objects.update(seen_at=timezone.now() - 2 * condition.SILENT_AFTER),
        "workers",
        None,
    ),
    "queue": (
        lambda _m: JobRun.objects.filter(pk=waiting().pk).update(created_at=timezone.now() - HOUR),
        "queue",
        None,
    ),
    "guards": (lambda m: m.setattr(triggers, "missing", lambda _connection: {"guard_step_update"}), "guards", None),
}


def waiting() -> JobRun:
    return JobRun.objects.create(kind="packing_run")


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_said_everywhere(
    name: str, well: None, monkeypatch: pytest.MonkeyPatch, client: Client
) -> None:
    provoke, key, number = WRONG[name]
    provoke(monkeypatch)
    assert levels() == {key: Level.WRONG}
    answer = client.get("/health/upkeep")
    assert (answer.status_code, list(answer.json())) == (503, [key])
    assert answer.json()[key], "it says what to do"
    assert [found.id for found in checks.kept_up(databases=["default"])] == ([number] if number else [])
    client.force_login(UserFactory(role="publisher"))
    assert "The site itself needs you" in client.get("/admin/").content.decode()
    page = client.get("/admin/condition/").content.decode()
    assert page.count("Needs you") == 1
    assert answer.json()[key] in page.replace("&#x27;", "'")
    client.force_login(UserFactory(role="roaster"))
    assert "The site itself needs you" not in client.get("/admin/").content.decode()


@pytest.mark.data
def test_failed_work_and_a_filling_disk_are_to_be_watched(well: None, monkeypatch: pytest.MonkeyPatch) -> None:
    JobRun.objects.create(kind="packing_run", state=JobState.FAILED, finished_at=timezone.now())
    disk(monkeypatch, free=2)
    assert levels() == {"failed": Level.WATCH, "disk": Level.WATCH}


def test_the_keeper_asks_for_a_backup_once(client: Client) -> None:
    client.force_login(UserFactory(role="publisher"))
    for _press in range(2):
        assert client.post("/admin/condition/").status_code == 302
    assert JobRun.objects.filter(kind="backup").count() == 1


def test_nothing_of_the_place_that_opens_it_is_shown(well: None, settings: Settings, client: Client) -> None:
    client.force_login(UserFactory(role="publisher"))
    page = client.get("/admin/condition/").content.decode()
    assert settings.SECRET_KEY not in page
    assert connection.settings_dict.get("PASSWORD") == "" or connection.settings_dict["PASSWORD"] not in page


def test_checks_name_what_would_not_outlive_the_machine(settings: Settings, tmp_path: Any) -> None:
    def ids(found: list[Any]) -> list[str]:
        return [message.id for message in found]

    settings.BACKUP_COPY_TO = None
    assert ids(checks.copies_elsewhere()) == ["guides.W012"]
    settings.BACKUP_COPY_TO, settings.DATA_DIR = tmp_path, tmp_path
    assert ids(checks.copies_elsewhere()) == ["guides.W013"]
    settings.BACKUP_COPY_TO = tmp_path / "not mounted"
    assert ids(checks.copies_elsewhere()) == []
    settings.TIME_ZONE = "UTC"
    assert ids(checks.zone_chosen()) == ["guides.I016"]


def test_a_folder_that_cannot_be_written_is_named(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    assert checks.folders_writable() == []
    monkeypatch.setattr("guides.checks.upkeep.os.access", lambda *_: False)
    assert {message.id for message in checks.folders_writable()} == {"guides.E014"}


@pytest.mark.data
@pytest.mark.parametrize("major", [None, 9])
def test_tools_that_are_missing_or_too_old_are_named(major: int | None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("guides.checks.upkeep._major_of", lambda _program: major)
    found = [message.id for message in checks.tools_of_the_database(databases=["default"])]
    assert found == (["guides.W015"] if connection.vendor == "postgresql" else [])
