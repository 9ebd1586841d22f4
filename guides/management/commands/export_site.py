"""``manage.py export_site --to FOLDER``"""

from __future__ import annotations

import os
import shutil
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import CommandError
from tqdm import tqdm

from guides.management.as_written import ExplainedCommand
from guides.management.static_site import write

_HELP = """Write the public pages as files that work from a folder or a CDN: coffees, guides in all
languages, and the page of every printed code, recalls among them. Links are relative and
every style, typeface and picture is a file beside the pages, named after its content.

Each page says of what day it is. Scripts and forms are left out; in their place stands the
way to the site itself. The brewing page, questions and pages adapted to other gear need the
site and lead there. The codes are listed nowhere; upload the folder without a listing.

The folder is made whole or not at all, so it must not be there yet, or be empty.

Example:
  manage.py export_site --to /somewhere/public"""


class Command(ExplainedCommand):
    help = _HELP

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="The folder to make.")

    def handle(self, *args: Any, to: Path, **options: Any) -> None:
        if to.exists() and (not to.is_dir() or any(to.iterdir())):
            raise CommandError(f"{to} is there already and not empty. Name another folder.")
        try:
            with tempfile.TemporaryDirectory(dir=to.absolute().parent, prefix=".site-") as scratch:
                draft = Path(scratch) / "site"
                draft.mkdir()
                with tqdm(desc="Pages", unit="", disable=None, leave=False) as shown:

                    def progress(done: int, known: int) -> None:
                        shown.total = known
                        shown.update(done - shown.n)

                    counted = write.write(draft, progress)
                if to.exists():
                    to.rmdir()
                shutil.move(os.fspath(draft), to)
        except OSError as error:
            raise CommandError(f"{to} cannot be written: {error.strerror or error}.") from error
        self.stdout.write(f"{to}: {counted['pages']} pages, {counted['files']} files beside them.")
