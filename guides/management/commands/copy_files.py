"""``manage.py copy_files --to PLACE``"""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management import BaseCommand, CommandError

from guides.exchange import copied_files
from guides.management.progress import bar


class Command(BaseCommand):
    help = (
        "Copy pictures and papers to where FILES_AT will say they are, and read every one back. Cut off, it goes on "
        "where it was; run again it takes what was made meanwhile. Nothing is removed here."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to",
            required=True,
            metavar="PLACE",
            help="s3://bucket/prefix, reached as the S3_ settings say, or the full path of a folder.",
        )

    def handle(self, *args: Any, to: str, **options: Any) -> str:
        with bar(copied_files.count(), "files") as report:
            try:
                copied = copied_files.copy(to, report)
            except ValueError as error:
                raise CommandError(f"--to {error}") from error
            except copied_files.CopyFailed as failed:
                raise CommandError(str(failed)) from failed
        return (
            f"{copied.sent} files copied to {to} and read back equal, {copied.there} were there already. Set FILES_AT "
            "to it and restart web and worker; then take along what was made meanwhile: "
            f"FILES_AT= python3 manage.py copy_files --to {to}"
        )
