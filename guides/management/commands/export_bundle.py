"""``manage.py export_bundle --to FOLDER``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import CommandError

from guides.exchange.bundle import make
from guides.management.as_written import ExplainedCommand
from guides.management.progress import bar

_HELP = """Write one file with everything the roastery has made: guides with all revisions and
hashes, lots, printed codes, the trail of who did what, pictures.

It is a ZIP file of JSON lines, one file a table; schema.json inside says what every column
means, bundle.json has the version and the hash of every file. It can be read by any program,
and put into an empty site by import_bundle, on either kind of database and by this or any
later version. Passwords, log-ins, secrets and background work are not in it; for putting the
same site back after an accident there is backup.

Example:
  manage.py export_bundle --to /somewhere"""


class Command(ExplainedCommand):
    help = _HELP

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="Where to write it.")

    def handle(self, *args: Any, to: Path, **options: Any) -> None:
        try:
            with bar(make.size(), "Writing") as progress:
                file = make.make(to, progress)
        except OSError as error:
            raise CommandError(f"No bundle was made: {error}") from error
        self.stdout.write(f"{file} ({file.stat().st_size / 1e6:.1f} MB)")
