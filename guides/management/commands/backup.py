"""``manage.py backup --to FOLDER``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError

from guides.exchange import backup
from guides.exchange.snapshots import SnapshotFailed


class Command(BaseCommand):
    help = "Write one file with the database, pictures and papers, while the site runs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="Where to write it.")

    def handle(self, *args: Any, to: Path, **options: Any) -> str:
        try:
            file = backup.make(to)
        except (OSError, SnapshotFailed) as error:
            raise CommandError(f"No backup was made: {error}") from error
        return f"{file} ({file.stat().st_size / 1e6:.1f} MB). Keep a copy on another machine."
