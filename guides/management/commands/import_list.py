"""``manage.py import_list LIST FILE``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import CommandError

from guides.exchange.incoming import plan, take_in
from guides.exchange.incoming.cells import Dates, Decimals, Reading
from guides.exchange.incoming.kinds import KINDS, Kind
from guides.exchange.incoming.plan import Plan
from guides.exchange.incoming.table import FileRefused, Table
from guides.lifecycle.errors import Refused
from guides.management.as_written import ExplainedCommand
from guides.management.progress import bar
from guides.models import User

_COLUMNS = "\n".join(f"  {kind.name:15} {', '.join(kind.columns)}" for kind in KINDS.values())
_HELP = f"""Bring a list in from a CSV or XLSX file.

First it says what every row would do: new, changed (old → new), unchanged, or refused with
row, column and reason. Then it asks, and keeps everything or nothing. A row whose first
column (of calibration points and parts of lots: whose first two) is known is changed, never
doubled; so the same file can be brought in again. New lots get a code to print.

CSV may be UTF-8, UTF-16 or Windows-1252, with commas, semicolons or tabs; headings are the
words below or the names that the desk shows, in any of its languages. An empty cell empties
what may be empty and leaves anything else alone; a missing column is left alone.

The lists and their columns, in the order to bring them:
{_COLUMNS}

Examples:
  manage.py import_list lots lots.csv --look
  manage.py import_list lots lots.csv --by tove --dates day-first --decimals comma"""
_SHOWN = 40


class Command(ExplainedCommand):
    help = _HELP

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("list", choices=KINDS, help="Which list it is.")
        parser.add_argument("file", type=Path, help="The CSV or XLSX file.")
        parser.add_argument("--look", action="store_true", help="Only say what would happen.")
        parser.add_argument("--by", metavar="NAME", help="Log-in of who brings it in; it stands in the trail.")
        parser.add_argument("--yes", action="store_true", help="Do not ask. Rows that are refused still stop it all.")
        parser.add_argument("--all", action="store_true", help=f"List every row, not the first {_SHOWN} of each kind.")
        dates = [way.value for way in Dates]
        parser.add_argument("--dates", choices=dates, default=dates[0], help="How dates are written; iso if not given.")
        decimals = [way.value for way in Decimals]
        parser.add_argument(
            "--decimals",
            choices=decimals,
            default=decimals[0],
            help="The decimal sign. Without it both are read, and a number that could be either is refused.",
        )

    def handle(self, *args: Any, file: Path, look: bool, yes: bool, **options: Any) -> None:
        kind = KINDS[options["list"]]
        reading = Reading(Dates(options["dates"]), Decimals(options["decimals"]))
        by = None if look else _who(options["by"])
        try:
            data = file.read_bytes()
            table = take_in.read(kind, data)
            planned = self._look(kind, table, reading)
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror or error}.") from error
        except FileRefused as refused:
            raise CommandError(f"Nothing was kept. {refused}") from refused
        self._tell(planned, None if options["all"] else _SHOWN)
        if planned.refused:
            raise CommandError(f"{len(planned.refused)} rows are refused, so nothing was kept. Correct the file.")
        if by is None or not planned.does_something:
            self.stdout.write("Nothing was kept." if planned.does_something else "There is nothing to do.")
            return
        if not yes and input("Keep this? Type yes: ").strip() != "yes":
            raise CommandError("Nothing was kept.")
        kept = len(planned.new) + len(planned.changed)
        try:
            with bar(len(table.rows) + kept, "Keeping") as progress:
                take_in.keep(kind, data, reading, by=by, source=file.name, shown=planned.digest(), progress=progress)
        except (take_in.Moved, Refused) as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"Kept: {len(planned.new)} new, {len(planned.changed)} changed.")

    def _look(self, kind: Kind, table: Table, reading: Reading) -> Plan:
        with bar(len(table.rows), "Looking") as progress:
            return plan.make(kind, table, reading, progress)

    def _tell(self, planned: Plan, most: int | None) -> None:
        self.stdout.write(f"Read as {planned.read_as}.")
        for note in planned.notes:
            self.stdout.write(note)
        for name, rows in (
            ("refused", planned.refused), ("changed", planned.changed), ("new", planned.new),
            ("unchanged", planned.unchanged),
        ):  # fmt: skip
            self.stdout.write(f"{len(rows)} {name}")
            if name == "unchanged" and most is not None:
                continue
            for one in rows[:most]:
                self.stdout.write(f"  row {one.number} {one.name}")
                for column, old, new in one.changes if name == "changed" else ():
                    self.stdout.write(f"    {column}: {old or '—'} → {new or '—'}")
                for trouble in one.troubles:
                    self.stdout.write(f"    {trouble}")
            if most is not None and len(rows) > most:
                self.stdout.write(f"  … and {len(rows) - most} more; --all lists them.")


def _who(name: str | None) -> User:
    if name is None:
        raise CommandError("Say who brings the list in: --by NAME. Or only look: --look.")
    try:
        return User.objects.get_by_natural_key(name)
    except User.DoesNotExist as error:
        raise CommandError(f"Nobody logs in as “{name}”. Look under Users at the desk.") from error
