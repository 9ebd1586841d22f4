"""What must not be restored is refused with the reason, and before anything is written."""

from __future__ import annotations

import dataclasses
import hashlib
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from pytest_django import Settings

from guides.exchange import restore as restore_module
from guides.exchange import stored_files
from guides.exchange.manifest import FORMAT, Manifest, Member
from guides.models import Coffee
from tests.factories import CoffeeFactory, UserFactory

from .site import Site

CONTENT = {"database": b"a snapshot", "media/roastery/kaj.webp": b"a picture", "papers/insert.pdf": b"a paper"}
Craft = Callable[..., Path]


@pytest.fixture(autouse=True)
def put_back(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The database under the tests stays; what would have replaced it is listed here."""
    snapshots: list[Path] = []
    monkeypatch.setattr(restore_module.snapshots, "put_back", snapshots.append)
    return snapshots


@pytest.fixture(autouse=True)
def _own_storages(settings: Settings, tmp_path: Path) -> None:
    kind = "django.core.files.storage.FileSystemStorage"
    settings.STORAGES = settings.STORAGES | {
        name: {"BACKEND": kind, "OPTIONS": {"location": tmp_path / "stored" / name}}
        for name in ("default", "papers", "codes")
    }


@pytest.fixture
def craft(tmp_path: Path) -> Craft:
    """Make a backup by hand: right, except for what the test changes in the manifest or behind its back."""

    def make(content: dict[str, bytes] | None = None, *, swapped: dict[str, bytes] | None = None, **told: Any) -> Path:
        content = CONTENT if content is None else content
        members = {name: Member(len(data), hashlib.sha256(data).hexdigest()) for name, data in content.items()}
        right = Manifest(
            version="0.1.0",
            made_at="2025-11-25T12:00:00+00:00",
            address="https://guides.example",
            database=connection.vendor,
            migrations=sorted(".".join(key) for key in MigrationLoader(None).disk_migrations),
            members=members,
        )
        file = tmp_path / "backup.zip"
        with zipfile.ZipFile(file, "w") as archive:
            for name, data in (content | (swapped or {})).items():
                archive.writestr(name, data)
            archive.writestr("manifest.json", dataclasses.replace(right, **told).to_json())
        return file

    return make


def refusal(file: Path) -> str:
    """Try to restore, and give the refusal after seeing that nothing was written."""
    with pytest.raises(CommandError) as refused:
        call_command("restore", file)
    assert list(stored_files.names()) == []
    return str(refused.value)


@pytest.mark.django_db
def test_right_backup_is_taken(craft: Craft, put_back: list[Path]) -> None:
    call_command("restore", craft())
    assert sorted(stored_files.names()) == ["media/roastery/kaj.webp", "papers/insert.pdf"]
    assert len(put_back) == 1


@pytest.mark.django_db
def test_cut_off_restore_is_started_again(craft: Craft, put_back: list[Path]) -> None:
    file = craft()
    call_command("restore", file)  # the database under the tests stayed empty, as after a cut
    call_command("restore", file)
    assert sorted(stored_files.names()) == ["media/roastery/kaj.webp", "papers/insert.pdf"]


@pytest.mark.parametrize("name", CONTENT)
@pytest.mark.django_db
def test_damaged_file_is_refused(craft: Craft, put_back: list[Path], name: str) -> None:
    said = refusal(craft(swapped={name: b"something else"}))
    assert name in said
    assert "hash differs" in said
    assert put_back == []


@pytest.mark.django_db
def test_flipped_bit_is_refused(craft: Craft, put_back: list[Path]) -> None:
    file = craft()
    raw = bytearray(file.read_bytes())
    raw[raw.index(b"a picture")] ^= 1
    file.write_bytes(raw)
    assert "media/roastery/kaj.webp in the backup is damaged" in refusal(file)
    assert put_back == []


@pytest.mark.django_db
def test_cut_file_is_refused(craft: Craft, put_back: list[Path]) -> None:
    file = craft()
    file.write_bytes(file.read_bytes()[:-40])
    assert "damaged or no backup" in refusal(file)
    assert put_back == []


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        ({"migrations": ["guides.9999_from_tomorrow"], "version": "9.0"}, "version 9.0, which is newer"),
        ({"format": FORMAT + 1}, "Upgrade first"),
        ({"database": "oracle"}, "is of a site on oracle"),
        ({"members": {}}, "other files than its manifest names"),
    ],
)
@pytest.mark.django_db
def test_unfit_backup_is_refused(craft: Craft, put_back: list[Path], told: dict[str, Any], reason: str) -> None:
    assert reason in refusal(craft(**told))
    assert put_back == []


@pytest.mark.parametrize("name", ["media/../../escaped", "elsewhere/file", "/etc/escaped", "media"])
@pytest.mark.django_db
def test_file_outside_its_folders_is_refused(craft: Craft, put_back: list[Path], name: str) -> None:
    assert "outside its folders" in refusal(craft(CONTENT | {name: b"x"}))
    assert put_back == []


@pytest.mark.parametrize("content", [b"", b"no archive", b"PK\x05\x06" + bytes(18)])
@pytest.mark.django_db
def test_other_files_are_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "holiday.zip"
    file.write_bytes(content)
    assert "backup" in refusal(file)


def test_missing_file_is_named(tmp_path: Path) -> None:
    assert "nowhere.zip cannot be read: No such file" in refusal(tmp_path / "nowhere.zip")


@pytest.mark.django_db
def test_users_that_a_first_start_made_give_way(craft: Craft, put_back: list[Path]) -> None:
    UserFactory()
    call_command("restore", craft())
    assert len(put_back) == 1


@pytest.mark.django_db
def test_site_with_work_in_it_is_refused(craft: Craft, put_back: list[Path]) -> None:
    CoffeeFactory()
    assert "not empty: it holds a roastery's own work" in refusal(craft())
    assert Coffee.objects.count() == 1
    assert put_back == []


@pytest.mark.django_db
def test_files_that_outlived_their_database_stay(craft: Craft, put_back: list[Path]) -> None:
    for name in ("papers/newer.pdf", "codes/L/7K2M9QX4.json"):
        storage, path = stored_files.find(name)
        storage.save(path, ContentFile(b"of after the backup"))
    with pytest.raises(CommandError, match="7K2M9QX4 is NOT settled"):
        call_command("restore", craft())
    assert set(stored_files.names()) == {*CONTENT, "papers/newer.pdf", "codes/L/7K2M9QX4.json"} - {"database"}
    assert len(put_back) == 1


@pytest.mark.django_db
def test_site_with_other_content_under_a_name_is_refused(craft: Craft, put_back: list[Path]) -> None:
    storage, path = stored_files.find("papers/insert.pdf")
    storage.save(path, ContentFile(b"another site's"))
    with pytest.raises(CommandError, match=r"another file of the name papers/insert\.pdf"):
        call_command("restore", craft())
    assert list(stored_files.names()) == ["papers/insert.pdf"]
    assert put_back == []


@pytest.mark.django_db
def test_moved_address_is_pointed_out(craft: Craft, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("restore", craft(address="https://old.example"))
    assert "printed codes lead to https://old.example" in capsys.readouterr().out


@pytest.mark.django_db
def test_control_without_the_hash_check_the_damage_would_be_in(
    craft: Craft, monkeypatch: pytest.MonkeyPatch, put_back: list[Path]
) -> None:
    monkeypatch.setattr(restore_module, "_refuse_damage", lambda *_: None)
    monkeypatch.setattr(stored_files, "holds", lambda *_: False)
    call_command("restore", craft(swapped={"papers/insert.pdf": b"something else"}))
    storage, path = stored_files.find("papers/insert.pdf")
    with storage.open(path) as paper:
        assert paper.read() == b"something else"


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_filled_site_stays_as_it_is(new_site: Callable[[], Site], backups: Path) -> None:
    site, other = new_site(), new_site()
    site.fill()
    other.fill()
    before = other.state()
    refused = other.manage("restore", site.backup(backups))
    assert refused.returncode != 0
    assert "not empty" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert other.state() == before
