"""A whole site of its own, on the kind of database the tests run on, worked as its keeper would: by commands."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

CANARY = "c4nary"

FILL = """
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from guides.lifecycle import address
from tests.factories import CoffeeFactory, LotFactory, published

CoffeeFactory(name="Kølkajen, mørk ☕", description="Åben ild · 焙煎")
version = published()
address.issue(LotFactory(coffee=version.guide.coffee))
storages["default"].save("roastery/Ulvarsund–kaj 7 ☕.webp", ContentFile(b"picture" * 5000))
storages["papers"].save("2025/insert.pdf", ContentFile(b"%PDF-1.7 paper"))
"""

STATE = """
import hashlib, json
from django.core.files.storage import storages
from django.db import connection
from guides.exchange import stored_files
from guides.models import ChangeMark, triggers

state = {}
with connection.cursor() as cursor:
    for table in sorted(set(connection.introspection.table_names()) - {"guides_backup", "guides_changemark"}):
        cursor.execute(f'SELECT * FROM "{table}"')
        rows = sorted(repr(row) for row in cursor.fetchall())
        state[table] = [len(rows), hashlib.sha256("".join(rows).encode()).hexdigest()]
for name in stored_files.names():
    storage, path = stored_files.find(name)
    with storage.open(path) as file:
        state[name] = hashlib.sha256(file.read()).hexdigest()
state["marks"] = [mark.at.timestamp() for mark in ChangeMark.objects.order_by("at")]
state["guards"] = sorted(name for name, table in triggers.installed(connection))
state["all guards"] = set(state["guards"]) == triggers.expected_names(connection.vendor)
print(json.dumps(state))
"""


@dataclass
class Site:
    """A site in a folder; ``database_url`` names its database, and ``set_up`` gives it its tables."""

    name: str
    folder: Path
    database_url: str
    set_up: Callable[[], None]

    @property
    def environment(self) -> dict[str, str]:
        return {
            "PATH": os.environ["PATH"],
            "PYTHONPATH": str(settings.BASE_DIR),
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "DATA_DIR": str(self.folder),
            "DATABASE_URL": self.database_url,
            "SECRET_KEY": f"{CANARY}-" * 10,
            "PUBLIC_BASE_URL": "https://guides.example",
            "PROXY_DEPTH": "1",
        }

    def manage(self, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
        """Run a command of ``manage.py`` and give what it said, whether it worked or not."""
        return subprocess.run(
            [sys.executable, "manage.py", *map(str, arguments)],
            cwd=settings.BASE_DIR,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )

    def must(self, *arguments: str | Path) -> str:
        """Run a command that has to work, and give its output."""
        done = self.manage(*arguments)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def begin(self, script: str, *, stdin: bool = False) -> subprocess.Popen[str]:
        """Start Python in this site, with Django ready; with ``stdin`` it can be told to go on."""
        return subprocess.Popen(
            [sys.executable, "-c", f"import django; django.setup()\n{script}"],
            cwd=settings.BASE_DIR,
            env=self.environment,
            stdin=subprocess.PIPE if stdin else None,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, script: str) -> str:
        """Run Python in this site and give what it printed."""
        process = self.begin(script)
        out, err = process.communicate(timeout=120)
        assert process.returncode == 0, err
        return out

    def fill(self) -> None:
        """Set up the site with a published guide, a printed code, a picture and a paper."""
        self.set_up()
        self.run(FILL)

    def state(self) -> dict[str, Any]:
        """Give every table's number of rows and hash, every file's hash, and the guards."""
        state: dict[str, Any] = json.loads(self.run(STATE))
        return state

    def backup(self, folder: Path) -> Path:
        """Back the site up and give the file."""
        before = set(folder.iterdir())
        self.must("backup", "--to", folder)
        (made,) = set(folder.iterdir()) - before
        return made
