"""``manage.py move_to_postgres --to URL``"""

from __future__ import annotations

import os
from argparse import ArgumentParser
from typing import Any

import dj_database_url
from django.core.management import BaseCommand, CommandError

from guides.exchange import move


class Command(BaseCommand):
    help = (
        "Move this site's rows from SQLite to an empty PostgreSQL database, compare them all, and close SQLite for "
        "writing. Files stay where they are. The password may come in PGPASSWORD."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("--to", metavar="URL", help="Such as postgres://user@host:5432/name.")
        which.add_argument("--reopen", action="store_true", help="Stay: let the SQLite database be written again.")

    def handle(self, *args: Any, to: str | None, reopen: bool, **options: Any) -> str:
        if reopen or to is None:
            move.reopen()
            return "The SQLite database can be written again."
        try:
            config: dict[str, Any] = dict(dj_database_url.parse(to))
        except ValueError:
            # Not the value: it may hold the password.
            raise CommandError("--to cannot be read. Write postgres://user@host:5432/name") from None
        config["PASSWORD"] = config.get("PASSWORD") or os.environ.get("PGPASSWORD", "")
        try:
            moved = move.move(config, self.stderr.write)
        except move.MoveRefused as refused:
            raise CommandError(str(refused)) from refused
        return (
            f"{moved.tables} tables with {moved.rows} rows are on PostgreSQL, every one equal. SQLite is closed for "
            "writing: set DATABASE_URL to the new address now and restart web and worker. Until then pages are shown "
            "and nothing can be changed. (To stay after all: move_to_postgres --reopen)"
        )
