"""``manage.py drill_restore [FILE]``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError

from guides.exchange import kept_backups
from guides.exchange.drill import DrillImpossible, drill
from guides.exchange.restore import RestoreRefused
from guides.exchange.snapshots import SnapshotFailed


class Command(BaseCommand):
    help = "Prove a backup: restore it beside the live site, compare every hash, and clear away."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file", type=Path, nargs="?", help="A file that `backup` wrote; without it, the newest one of the site."
        )

    def handle(self, *args: Any, file: Path | None, **options: Any) -> str:
        file = file or kept_backups.newest()
        if file is None:
            raise CommandError("There is no backup to prove yet. Make one: python3 manage.py backup")
        try:
            found = drill(file)
        except (RestoreRefused, SnapshotFailed, DrillImpossible) as error:
            raise CommandError(str(error)) from error
        if found.faults:
            raise CommandError("\n".join([f"{file.name} does NOT prove:", *found.faults]))
        return (
            f"{file.name} proves: restored beside the live site, {found.tables} tables with {found.rows} rows and "
            f"{found.files} files equal the backup's own hashes; {found.codes} codes and {found.published} published "
            "guides equal the live site's."
        )
