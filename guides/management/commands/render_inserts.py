"""Prints the inserts of a lot into one PDF."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from guides.documents.insert import InsertRefused, inserts_pdf
from guides.documents.whole_files import write_whole
from guides.queries import lots


class Command(BaseCommand):
    help = (
        "Writes the A6 inserts of a lot into a PDF: every guide shown for it, two pages each. Nothing is written "
        "unless every page was read back from the finished file and leads where it should."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lot", help="Lot name or address code, such as OM-084.")
        parser.add_argument("--guide", type=int, help="Number of one guide; all guides of the lot if not given.")
        parser.add_argument(
            "--language",
            action="append",
            dest="languages",
            metavar="CODE",
            help="Such as sv; may be given more than once. The language each guide was written in if not given.",
        )
        parser.add_argument("--output", type=Path, required=True, help="The PDF to write.")

    def handle(
        self, *, lot: str, guide: int | None, languages: list[str] | None, output: Path, **_options: Any
    ) -> None:
        found = lots.find(lot)
        if found is None:
            raise CommandError(
                f"“{lot}” is neither a lot name nor an address code. Look it up under Lots in the admin."
            )
        shown = [version for _row, version in lots.guides_of(found) if guide in (None, version.guide.number)]
        if not shown:
            which = "No guide" if guide is None else f"No guide {guide}"
            raise CommandError(f"{which} is shown for lot {found}. Assign it to the lot in the admin first.")
        wanted = [(version, language) for version in shown for language in languages or [version.language]]
        try:
            pdf = inserts_pdf(found, wanted)
        except InsertRefused as refused:
            raise CommandError("Nothing was written.\n" + "\n".join(refused.reasons)) from refused
        try:
            write_whole(output, [pdf])
        except OSError as error:
            raise CommandError(f"{output} cannot be written ({error.strerror}). Name another file.") from error
        self.stdout.write(f"{output}: {len(wanted)} inserts of lot {found}, read back and in order.")
