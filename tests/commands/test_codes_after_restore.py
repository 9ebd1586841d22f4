"""Codes made after a backup answer after that backup is restored, as long as the files outlived the database."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from .site import Site

FULL = os.environ.get("FULL_COUNTS") == "1"
CODES = 60 if FULL else 6
"""Of lots, made before the backup, and as many after it; with one of a site each time."""

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]

MAKE = """
import json, sys
from guides.lifecycle import address, lots, sites
from guides.models import Guide, User
from tests.factories import CoffeeFactory, LotFactory, SiteFactory, UserFactory, published

boss = User.objects.first() or UserFactory(role="publisher")
name, number = sys.argv[1], int(sys.argv[2])
coffee, made = CoffeeFactory(name=f"Coffee {name}", code=name, slug=name.lower()), {}
for count in range(number):
    lot = lots.register(LotFactory.build(name=f"{name}-{count}", coffee=coffee), by=boss)
    made[f"/L/{lot.addresses.get().code}"] = [coffee.name, lot.name]
site = SiteFactory(name=f"Site {name}")
sites.record(site, by=boss, is_new=True, fields={})
guide = Guide.objects.first() or published().guide
made[f"/S/{site.code}/{guide.number}.1.EN"] = [guide.coffee.name]
print(json.dumps(made))
"""

REPLAY = """
import json, sys
from django.test import Client

client, wrong = Client(), []
for path, words in json.loads(sys.stdin.readline()).items():
    answer = client.get(path, follow=True, headers={"host": "guides.example"}, secure=True)
    if answer.status_code != 200 or not all(word in answer.content.decode() for word in words):
        wrong.append(f"{path}: {answer.status_code}")
print(json.dumps(wrong))
"""


def make(site: Site, name: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = json.loads(site.run(f"import sys; sys.argv = ['', {name!r}, '{CODES}']\n{MAKE}"))
    return found


def dead_or_wrong(site: Site, made: dict[str, list[str]]) -> list[str]:
    process = site.begin(REPLAY, stdin=True)
    out, err = process.communicate(json.dumps(made) + "\n", timeout=300)
    assert process.returncode == 0, err
    found: list[str] = json.loads(out)
    return found


def test_every_code_answers_after_an_older_backup_is_restored(
    new_site: Callable[[], Site], backups: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site, clean, control = new_site(), new_site(), new_site()
    site.set_up()
    before = make(site, "AA")
    file = site.backup(backups)
    after = make(site, "BB")
    assert dead_or_wrong(site, before | after) == []
    # The database is lost; the files are not.
    shutil.copytree(site.folder / "codes", clean.folder / "codes")
    said = clean.must("restore", file)
    assert f"{2 * len(after) + 1} codes and revisions are recorded, {len(after)} of them are not known here" in said
    assert dead_or_wrong(clean, before | after) == []
    # Both are lost, and only the backup is left: what was in it answers, and the rest is dead.
    control.must("restore", file)
    assert dead_or_wrong(control, before) == []
    assert len(dead_or_wrong(control, after)) == len(after)
    with capsys.disabled():
        print(f"\n{2 * len(after)} codes, half of them made after the backup: 0 dead, 0 wrong; without records half")
