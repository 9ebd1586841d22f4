"""``manage.py import_bundle FILE``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import CommandError

from guides.exchange.bundle.take_in import BundleRefused, checked, take_in
from guides.management.as_written import ExplainedCommand
from guides.management.progress import bar
from guides.models import User

_HELP = """Put a bundle into an empty site.

Everything is checked before anything is written: every hash, the version that made it, every
row, and that the site is empty. A bundle that is damaged or of a newer version is refused.
Rows are kept all or none. Printed addresses, revisions and hashes are as they were; staff are
there without passwords, so give each a new one with changepassword.

Examples:
  manage.py import_bundle bundle.zip --check
  manage.py import_bundle bundle.zip"""


class Command(ExplainedCommand):
    help = _HELP

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="A file that export_bundle wrote.")
        parser.add_argument("--check", action="store_true", help="Only look whether it is whole and fits this version.")

    def handle(self, *args: Any, file: Path, check: bool, **options: Any) -> None:
        try:
            with checked(file) as (_archive, told):
                total = sum(told.tables.values())
            if check:
                self.stdout.write(f"Whole: made {told.made_at} by version {told.version}, {total} rows.")
                return
            with bar(total, "Keeping") as progress:
                told = take_in(file, progress)
        except BundleRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"Here is the site of {told.made_at}: {total} rows.")
        names = ", ".join(User.objects.filter(is_active=True).order_by("username").values_list("username", flat=True))
        self.stdout.write(f"Give everybody a new password, with changepassword NAME: {names or 'there is nobody yet'}.")
        if told.address != settings.PUBLIC_BASE_URL:
            self.stdout.write(
                f"Its printed codes lead to {told.address}, this site is {settings.PUBLIC_BASE_URL}: "
                "keep the old address leading here."
            )
