"""``manage.py restore FILE``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from guides.exchange.codes_taken_in import take_in
from guides.exchange.restore import RestoreRefused, restore
from guides.exchange.snapshots import SnapshotFailed

from . import take_in_codes


class Command(BaseCommand):
    help = "Put a backup back into an empty site. Everything is checked before anything is written."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="A file that `backup` wrote.")

    def handle(self, *args: Any, file: Path, **options: Any) -> str:
        try:
            told = restore(file)
        except (RestoreRefused, SnapshotFailed) as error:
            raise CommandError(str(error)) from error
        lines = [f"Restored the site of {told.made_at}, version {told.version}: {len(told.members) - 1} files."]
        if told.address != settings.PUBLIC_BASE_URL:
            lines.append(
                f"Its printed codes lead to {told.address}, this site is {settings.PUBLIC_BASE_URL}: "
                "keep the old address leading here."
            )
        codes = take_in(keep=True)
        if codes.again or codes.unsettled or codes.missing:
            lines += ["Codes were made, or guides published, after that backup:", *take_in_codes.told(codes)]
        if codes.unsettled:
            raise CommandError("\n".join([*lines, "The site is restored. See to those codes: bags may carry them."]))
        return "\n".join(lines)
