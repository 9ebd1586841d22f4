"""``manage.py export_lists --to FOLDER``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import CommandError

from guides.exchange import lists
from guides.exchange.lists import Style
from guides.management.as_written import ExplainedCommand
from guides.management.progress import bar

_HELP = f"""Write the roastery's lists as CSV files, one each, safe to open in a spreadsheet.

They have the columns that import_list reads: change them in a spreadsheet and bring them in
again. Texts that a spreadsheet would calculate get a quotation mark in front; import_list
takes it off. Dates are written 2025-12-31.

Lists: {", ".join(lists.NAMES)}.

Examples:
  manage.py export_lists --to /somewhere
  manage.py export_lists lots coffees --to /somewhere --style semicolon"""


class Command(ExplainedCommand):
    help = _HELP

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lists", nargs="*", metavar="LIST", help="Which; all if none is named.")
        parser.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="Where to write them.")
        styles = [style.value for style in Style]
        parser.add_argument(
            "--style",
            choices=styles,
            default=styles[0],
            help="comma: with decimal points. semicolon: with decimal commas, as many spreadsheets expect.",
        )

    def handle(self, *args: Any, to: Path, style: str, **options: Any) -> None:
        names = options["lists"] or list(lists.NAMES)
        if unknown := [name for name in names if name not in lists.NAMES]:
            raise CommandError(f"There is no list called {', '.join(unknown)}. Lists: {', '.join(lists.NAMES)}.")
        try:
            with bar(len(names), "Lists") as progress:
                for name in names:
                    file = to / f"{name}.csv"
                    with file.open("w", encoding="utf-8", newline="") as out:
                        count = lists.write(name, out, Style(style))
                    progress(1)
                    self.stdout.write(f"{file}: {count} rows")
        except OSError as error:
            raise CommandError(f"{to} cannot be written: {error.strerror or error}.") from error
