"""``manage.py take_in_codes [--lead CODE=LOT …] [--keep]``"""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError
from collections.abc import Iterator
from typing import Any

from django.core.management import BaseCommand, CommandError

from guides.codes import short_code
from guides.exchange.codes_taken_in import NoSuchLot, TakenIn, take_in


class Command(BaseCommand):
    help = "Take in codes that were made but are not known here, such as those made after the backup that was restored."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--keep", action="store_true", help="Do it; without it, only say what would be done.")
        parser.add_argument(
            "--lead",
            type=_lead,
            action="append",
            default=[],
            metavar="CODE=LOT",
            help="Let a code that is not settled by itself lead to this lot.",
        )

    def handle(self, *args: Any, keep: bool, lead: list[tuple[str, str]], **options: Any) -> str:
        try:
            found = take_in(keep=keep, leads=dict(lead))
        except NoSuchLot as error:
            raise CommandError(f"There is no lot {error}. Nothing was done.") from error
        lines = list(told(found))
        if found.again and not keep:
            lines.append("Nothing is kept yet. To keep it, type the same with --keep")
        if found.unsettled:
            raise CommandError("\n".join(lines))
        return "\n".join(lines)


def told(found: TakenIn) -> Iterator[str]:
    """Say what became of codes, line by line."""
    unknown = len(found.again) + len(found.unsettled)
    yield f"{found.recorded} codes and revisions are recorded, {unknown} of them are not known here."
    yield from (f"{code} {what}" for code, what in found.again.items())
    yield from (f"{code} is NOT settled. {reason}" for code, reason in found.unsettled.items())
    if found.missing:
        yield (
            f"Published revisions that are not here: {', '.join(found.missing)}. Their numbers are not used again; "
            "every word and figure of them stands in codes/G."
        )


def _lead(text: str) -> tuple[str, str]:
    code, equals, lot = text.partition("=")
    if not equals or not lot or not short_code.is_valid(code):
        raise ArgumentTypeError(f"{text!r} is no CODE=LOT, such as 7K2M9QX4=OM-071")
    return code, lot
