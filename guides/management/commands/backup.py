"""``manage.py backup [--to FOLDER]``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from guides.exchange import kept_backups
from guides.exchange.snapshots import SnapshotFailed


class Command(BaseCommand):
    help = "Write one file with the database, pictures and papers, while the site runs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to", type=Path, metavar="FOLDER", help="Where to write it; without it, the site's own BACKUP_DIR."
        )

    def handle(self, *args: Any, to: Path | None, **options: Any) -> str:
        try:
            file, row = kept_backups.make(to or kept_backups.own_folder())
        except (OSError, SnapshotFailed) as error:
            raise CommandError(f"No backup was made: {error}") from error
        try:
            kept_backups.copy_away(file, row)
        except kept_backups.NotCopied as error:
            raise CommandError(f"{file} is made. {error}") from error
        if to is None:
            kept_backups.let_the_oldest_go()
        where = f"Copied to {settings.BACKUP_COPY_TO}." if row.copied_at else "Keep a copy on another machine."
        return f"{file} ({file.stat().st_size / 1e6:.1f} MB). {where}"
