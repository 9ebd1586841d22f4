"""Prints the inserts of a lot into one PDF, or sheets of one guide for many lots."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from guides.choices import Flip
from guides.documents import choices
from guides.documents.formats import INSERT_A6, Format
from guides.documents.insert import InsertRefused, inserts_pdf
from guides.documents.many_lots import ManyLots, many_pdf
from guides.documents.whole_files import write_whole
from guides.models import GuideVersion, Lot
from guides.queries import lots


class Command(BaseCommand):
    help = (
        "Writes the inserts of a lot into a PDF: every guide shown for it, a page for each side. With --sheet, one "
        "guide for many lots, side by side on sheets. Nothing is written unless every code was read back from the "
        "finished file and leads where it should."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "lot", nargs="+", help="Lot name or address code, such as OM-084; more than one with --sheet."
        )
        parser.add_argument("--guide", type=int, help="Number of one guide; all guides of the lot if not given.")
        parser.add_argument(
            "--language",
            action="append",
            dest="languages",
            metavar="CODE",
            help="Such as sv; may be given more than once. The language each guide was written in if not given.",
        )
        parser.add_argument("--format", default=INSERT_A6.key, help="Key of the format, such as card-a7 (insert-a6).")
        parser.add_argument("--sheet", help="Lays copies out on sheets, such as a4 or letter, or on labels.")
        parser.add_argument("--copies", type=int, default=1, help="How many of each on sheets (1).")
        parser.add_argument(
            "--flip", choices=Flip.values, default=Flip.LONG, help="Edge the printer turns sheets along."
        )
        parser.add_argument("--skip", type=int, default=0, help="Places of the first sheet that are used up (0).")
        parser.add_argument("--output", type=Path, required=True, help="The PDF to write.")

    def handle(
        self, *, lot: list[str], guide: int | None, languages: list[str] | None, output: Path, **options: Any
    ) -> None:
        found = [_lot(text) for text in lot]
        paper = choices.format_of(options["format"])
        if paper is None:
            raise CommandError(f"No format is called “{options['format']}”. There are: {', '.join(choices.formats())}.")
        try:
            if options["sheet"]:
                pdf, said = _sheets(found, guide, languages, paper, options)
            else:
                pdf, said = _singles(found, guide, languages, paper)
        except InsertRefused as refused:
            raise CommandError("Nothing was written.\n" + "\n".join(refused.reasons)) from refused
        try:
            write_whole(output, [pdf])
        except OSError as error:
            raise CommandError(f"{output} cannot be written ({error.strerror}). Name another file.") from error
        self.stdout.write(f"{output}: {said}, read back and in order.")


def _singles(found: list[Lot], guide: int | None, languages: list[str] | None, paper: Format) -> tuple[bytes, str]:
    """Every guide of one lot, a page for each side."""
    if len(found) > 1:
        raise CommandError("Several lots go on sheets. Add --sheet, such as --sheet a4, or name one lot.")
    (lot,) = found
    wanted = [(version, language) for version in _shown(lot, guide) for language in languages or [version.language]]
    return inserts_pdf(lot, wanted, paper), f"{len(wanted)} inserts of lot {lot}"


def _sheets(
    found: list[Lot], guide: int | None, languages: list[str] | None, paper: Format, options: dict[str, Any]
) -> tuple[bytes, str]:
    """One guide for all lots, in one language."""
    sheet = choices.sheet(options["sheet"])
    if sheet is None:
        raise CommandError(f"No sheet is called “{options['sheet']}”. There are: {', '.join(choices.sheets())}.")
    shown = _shown(found[0], guide)
    if len(shown) > 1:
        numbers = ", ".join(str(version.guide.number) for version in shown)
        raise CommandError(f"Lot {found[0]} has several guides ({numbers}). Name one with --guide.")
    if languages and len(languages) > 1:
        raise CommandError("Sheets are in one language. Name one.")
    if options["copies"] < 1:
        raise CommandError("--copies: at least 1.")
    (version,) = shown
    language = languages[0] if languages else version.language
    order = ManyLots(found, version, language, paper, options["copies"], sheet, Flip(options["flip"]), options["skip"])
    return many_pdf(order), f"{options['copies']} inserts of each of {len(found)} lots"


def _lot(text: str) -> Lot:
    found = lots.find(text)
    if found is None:
        raise CommandError(f"“{text}” is neither a lot name nor an address code. Look it up under Lots in the admin.")
    return found


def _shown(lot: Lot, guide: int | None) -> list[GuideVersion]:
    shown = [version for _row, version in lots.guides_of(lot) if guide in (None, version.guide.number)]
    if not shown:
        which = "No guide" if guide is None else f"No guide {guide}"
        raise CommandError(f"{which} is shown for lot {lot}. Assign it to the lot in the admin first.")
    return shown
