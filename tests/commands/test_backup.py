"""A backup holds everything, from one moment, while others write; and comes back equal on a clean machine."""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from .site import CANARY, Site

# As many as a quick run can afford; the full count is 20.
BACKUPS = 20 if os.environ.get("FULL_COUNTS") == "1" else 2

WRITE = """
import sys, uuid
from pathlib import Path
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.db import transaction
from guides.models import Coffee
from tests.factories import CoffeeFactory, LotFactory

stop, written = Path(sys.argv[1]), 0
while not stop.exists():
    name = f"{uuid.uuid4().hex}.webp"
    storages["default"].save(name, ContentFile(name.encode() * 2000))
    with transaction.atomic():
        coffee = CoffeeFactory(name=name, code=f"W{written}", slug=name[:32], description=name)
        LotFactory(coffee=coffee, name=f"W-{written}")
    written += 1
print(written)
"""

WHOLE = """
from django.core.files.storage import storages
from guides.models import Coffee, Lot

written = Coffee.objects.filter(name__endswith=".webp")
print(written.count(), written.exclude(pk__in=Lot.objects.values("coffee")).count(),
      sum(not storages["default"].exists(coffee.description) for coffee in written))
"""


def came_back(site: Site, restored: Site) -> dict[str, Any]:
    """See that a restored site is equal, and give its state.

    Only what shops read counts as changed: an answer from before the backup must not pass for "not modified since".
    """
    was, state = site.state(), restored.state()
    assert min(state.pop("marks")) > max(was.pop("marks"))
    assert state == was
    return state


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_comes_back_equal_on_a_clean_machine(new_site: Callable[[], Site], backups: Path) -> None:
    site, clean = new_site(), new_site()
    site.fill()
    file = site.backup(backups)
    said = clean.must("restore", file)
    assert "4 files" in said
    state = came_back(site, clean)
    assert state["all guards"]
    assert state["guides_guideversion"][0] == 1
    clean.must("check", "--database", "default")


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_comes_back_on_a_site_that_was_set_up_but_not_used(new_site: Callable[[], Site], backups: Path) -> None:
    site, set_up = new_site(), new_site()
    site.fill()
    set_up.set_up()
    set_up.must("restore", site.backup(backups))
    came_back(site, set_up)


@pytest.mark.django_db
def test_is_one_private_file_without_the_secrets(new_site: Callable[[], Site], backups: Path) -> None:
    site = new_site()
    site.fill()
    file = site.backup(backups)
    assert file.stat().st_mode & 0o077 == 0
    with zipfile.ZipFile(file) as archive:
        inside = {name: archive.read(name) for name in archive.namelist()}
    assert {"manifest.json", "database", "papers/2025/insert.pdf"} < set(inside)
    assert not [name for name, content in inside.items() if CANARY.encode() in content]


@pytest.mark.django_db
def test_folder_that_cannot_be_written_is_named(new_site: Callable[[], Site], tmp_path: Path) -> None:
    site = new_site()
    site.set_up()
    refused = site.manage("backup", "--to", tmp_path / "not there")
    assert refused.returncode != 0
    assert "No backup was made" in refused.stderr
    assert "not there" in refused.stderr
    assert "Traceback" not in refused.stderr


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_is_whole_while_others_write(
    new_site: Callable[[], Site], backups: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every row in it has its partner and its file, though it was taken in the middle of writing them."""
    site = new_site()
    site.set_up()
    stop = tmp_path / "stop"
    writer = site.begin(f"import sys; sys.argv = ['', {str(stop)!r}]\n{WRITE}")
    files = []
    for _number in range(BACKUPS):
        time.sleep(1)
        files.append(site.backup(backups))
    stop.touch()
    written, errors = writer.communicate(timeout=60)
    assert writer.returncode == 0, errors
    counts = []
    for file in files:
        clean = new_site()
        clean.must("restore", file)
        rows, without_lot, without_file = map(int, clean.run(WHOLE).split())
        assert (without_lot, without_file) == (0, 0)
        counts.append(rows)
    with capsys.disabled():
        print(f"\n{len(files)} backups while {int(written)} coffees were written: each whole, with {counts} of them")
    assert 0 < counts[0] <= counts[-1] <= int(written)


def test_control_copying_the_file_of_a_database_in_use(tmp_path: Path) -> None:
    """A plain copy keeps part of a change that was never committed. The snapshot has none of it."""
    file, copy, snapshot = tmp_path / "live", tmp_path / "copy", tmp_path / "snapshot"
    with closing(sqlite3.connect(file, isolation_level=None)) as writer:
        writer.execute("PRAGMA journal_mode=DELETE")
        writer.execute("PRAGMA cache_size=1")
        writer.execute("CREATE TABLE bags (lot TEXT, place TEXT)")
        writer.executemany("INSERT INTO bags VALUES (?, 'shelf')", [("x" * 500,)] * 2000)
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("UPDATE bags SET place = 'sold'")
        shutil.copy(file, copy)
        writer.execute("ROLLBACK")
        writer.execute("VACUUM INTO ?", [str(snapshot)])
    assert _places(snapshot) == {"shelf"}
    assert _places(copy) != {"shelf"}


def _places(file: Path) -> set[str]:
    with closing(sqlite3.connect(file)) as database:
        try:
            return {place for (place,) in database.execute("SELECT place FROM bags")}
        except sqlite3.DatabaseError:
            return {"damaged"}
