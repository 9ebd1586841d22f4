"""A restore drill proves a backup, and tells one that does not prove, without touching the live site."""

from __future__ import annotations

import json
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.core.management import CommandError, call_command
from django.db import connection
from pytest_django import Settings

from guides.exchange import drill, fingerprints, kept_backups
from guides.lifecycle import address
from guides.models import Address, Backup, Lot, triggers
from tests.factories import LotFactory, published

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


@pytest.fixture
def site(settings: Settings, tmp_path: Path) -> Lot:
    """A published guide, a printed code, a paper, and two places for backups."""
    settings.BACKUP_DIR, settings.BACKUP_COPY_TO = tmp_path / "backups", tmp_path / "elsewhere"
    settings.BACKUP_COPY_TO.mkdir()
    kind = "guides.documents.write_once.WriteOnceStorage"
    settings.STORAGES = settings.STORAGES | {
        name: {"BACKEND": kind, "OPTIONS": {"location": place}}
        for name, place in {
            "default": tmp_path / "media",
            "papers": tmp_path / "papers",
            kept_backups.COPIES: settings.BACKUP_COPY_TO,
        }.items()
    }
    storages["papers"].save("2025/insert.pdf", ContentFile(b"%PDF-1.7 paper"))
    version = published()
    lot = LotFactory(coffee=version.guide.coffee)
    address.issue(lot)
    return lot


def test_a_backup_proves_and_the_live_site_stays(
    site: Lot, settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("backup")
    row = Backup.objects.get()
    copy, original = settings.BACKUP_COPY_TO / row.file, settings.BACKUP_DIR / row.file
    assert copy.read_bytes() == original.read_bytes()
    before = fingerprints.of("default")
    call_command("drill_restore")
    said = capsys.readouterr().out
    assert "1 codes and 1 published guides equal the live site's" in said
    assert "3 files" in said
    row.refresh_from_db()
    assert (row.proven_at is not None, row.fault) == (True, "")
    assert fingerprints.differing(before, fingerprints.of("default")) == ["guides_backup (1 rows and 1)"]
    # A live site whose printed code has been turned to another bag, which the guards would have refused.
    other = LotFactory(coffee=site.coffee)
    triggers.remove(connection)
    try:
        Address.objects.all().update(lot=other)
        with pytest.raises(CommandError, match="leads elsewhere on the live site"):
            call_command("drill_restore")
    finally:
        triggers.install(connection)
    row.refresh_from_db()
    assert (row.proven_at, "leads elsewhere" in row.fault) == (None, True)


def test_rows_that_come_back_different_are_found(site: Lot, tmp_path: Path) -> None:
    call_command("backup")
    file = next((tmp_path / "backups").glob("*.zip"))
    retell(file, lambda told: told["tables"]["guides_lot"].update(sha256="0" * 64))
    with pytest.raises(CommandError, match=r"does NOT prove(.|\n)*guides_lot \(1 rows and 1\)"):
        call_command("drill_restore", file)
    retell(file, lambda told: told["members"]["papers/2025/insert.pdf"].update(sha256="0" * 64))
    with pytest.raises(CommandError, match=r"insert\.pdf in the backup is damaged"):
        call_command("drill_restore", file)
    assert "damaged" in Backup.objects.get().fault


def test_there_must_be_a_backup(site: Lot) -> None:
    with pytest.raises(CommandError, match="no backup to prove yet"):
        call_command("drill_restore")


def test_a_copy_that_cannot_be_made_is_told_and_made_later(site: Lot, settings: Settings) -> None:
    settings.BACKUP_COPY_TO.rmdir()
    with pytest.raises(CommandError, match=r"is made\. .* Is its disk mounted"):
        call_command("backup")
    assert not settings.BACKUP_COPY_TO.exists(), "a share that is not mounted must not become a folder of this disk"
    assert Backup.objects.get().copied_at is None
    settings.BACKUP_COPY_TO.mkdir()
    kept_backups.copy_newest()
    assert Backup.objects.get().copied_at is not None


def test_the_oldest_go(site: Lot, settings: Settings) -> None:
    settings.BACKUP_KEEP = 2
    for folder in (kept_backups.own_folder(), settings.BACKUP_COPY_TO):
        for day in (1, 2, 3):
            (folder / f"roastery-2025110{day}T020000Z-0.1.0.zip").write_bytes(b"")
        (folder / "notes.txt").write_text("not ours")
    kept_backups.let_the_oldest_go()
    for folder in (kept_backups.own_folder(), settings.BACKUP_COPY_TO):
        assert sorted(path.name[9:17] for path in folder.glob("*.zip")) == ["20251102", "20251103"]
        assert (folder / "notes.txt").exists()


def retell(file: Path, change: Any) -> None:
    """Write a backup anew with something else in its manifest."""
    new = file.with_suffix(".new")
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(new, "w") as target:
        for name in old.namelist():
            content = old.read(name)
            if name == "manifest.json":
                told = json.loads(content)
                change(told)
                content = json.dumps(told).encode()
            target.writestr(name, content)
    shutil.move(new, file)


def test_control_a_drill_that_compares_nothing_would_prove_it(
    site: Lot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    call_command("backup")
    file = next((tmp_path / "backups").glob("*.zip"))
    retell(file, lambda told: told["tables"]["guides_lot"].update(sha256="0" * 64))
    monkeypatch.setattr(drill.fingerprints, "differing", lambda *_: [])
    call_command("drill_restore", file)
