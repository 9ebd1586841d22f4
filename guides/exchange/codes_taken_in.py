"""Takes in again the codes that were made and that a database does not know: after a backup of an earlier day.

The same code leads to the same lot. A lot that the database has forgotten is made again as it was when its code was
made, and so is its coffee. Where that would be guessing, nothing is done, and said.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.core.files.storage import Storage, storages
from django.db import transaction
from django.db.models import Model, Q

from guides.codes import short_code
from guides.lifecycle import code_records
from guides.models import Address, Coffee, Lot, Site
from guides.queries.code_records import (
    STORE,
    BadRecord,
    Kind,
    Record,
    Values,
    forgotten,
    guide_of,
    known,
    name_of,
    read,
    recorded,
)

from . import codes_copied

Row = TypeVar("Row", bound=Model)


class NoSuchLot(Exception):
    """A code was to lead to a lot that is not there."""


class _Unsettled(Exception):
    """What a code leads to would be a guess; the text says why and what to do."""


@dataclass
class TakenIn:
    """What became of codes that were not known: lines by code, and what is to be done about the others.

    ``missing`` are published revisions, such as ``12.3``, of guides of which others are here.
    """

    recorded: int = 0
    missing: list[str] = field(default_factory=list)
    again: dict[str, str] = field(default_factory=dict)
    unsettled: dict[str, str] = field(default_factory=dict)


def take_in(*, keep: bool, leads: Mapping[str, str] | None = None) -> TakenIn:
    """Take in every recorded code that the database does not know.

    Args:
        keep: whether it stays so; otherwise it is tried, told, and taken back.
        leads: lots, by name, for codes that are not settled by themselves, or of which only the printed register
            is left.

    Raises:
        NoSuchLot: one of ``leads`` names a lot that is not there.
    """
    chosen = {code: _lot_named(name) for code, name in (leads or {}).items()}
    found = TakenIn()
    if keep:  # what stays unsettled is not given away anew either, nor a guide's number
        codes_copied.bring_back()
    with transaction.atomic():
        for kind in Kind:
            records = {code: store for store in _stores() for code in recorded(kind, store)}
            found.recorded += len(records)
            for code in sorted(forgotten(kind, set(records))):
                try:
                    with transaction.atomic():
                        found.again[code] = _take(kind, code, records, chosen.get(code))
                except _Unsettled as reason:
                    found.unsettled[code] = str(reason)
            if kind is Kind.EDITION:
                gone = set(records) - known(kind)
                found.missing = sorted(each for each in gone if guide_of(each) not in found.unsettled)
        for code in sorted(set(chosen) - set(found.again) - set(found.unsettled)):
            _lead(code, chosen[code], found)
        if not keep:
            transaction.set_rollback(True)
    if keep:
        code_records.complete()
    return found


def _stores() -> Iterator[Storage]:
    """Where records lie: the copies off the machine first, so that the site's own count where both have one."""
    if (copies := codes_copied.place()) is not None:
        yield copies
    yield storages[STORE]


def _lot_named(name: str) -> Lot:
    lot = Lot.objects.filter(name=name.upper()).first()
    if lot is None:
        raise NoSuchLot(name)
    return lot


def _take(kind: Kind, code: str, records: Mapping[str, Storage], chosen: Lot | None) -> str:
    if kind is Kind.EDITION:
        raise _Unsettled(_forgotten_guide(code, records))
    if not short_code.is_valid(code):
        raise _Unsettled("This is no code of ours; remove that file.")
    try:
        record = read(kind, code, records[code])
        if kind is Kind.SITE:
            return _take_site(record)
        return _take_lot(record, chosen)
    except (BadRecord, KeyError) as error:
        lead = f" Type: take_in_codes --lead {code}=LOT" if kind is Kind.LOT else ""
        raise _Unsettled("Its record is damaged. Look it up in the printed register." + lead) from error
    except ValidationError as error:
        raise _Unsettled(f"It cannot be made again: {' '.join(error.messages)}") from error


def _lead(code: str, lot: Lot, found: TakenIn) -> None:
    """Take in a code that has no record."""
    address = Address.objects.filter(code=code).select_related("lot").first()
    if address is not None:
        found.unsettled[code] = f"It is known here, and leads to the lot {address.lot.name} for ever."
        return
    Address.objects.create(code=code, lot=lot)
    found.again[code] = f"has no record; it leads to the lot {lot.name}, as you say."


def _forgotten_guide(number: str, records: Mapping[str, Storage]) -> str:
    last = max(int(each.partition(".")[2]) for each in records if guide_of(each) == number)
    edition = f"{number}.{last}"
    try:
        record = read(Kind.EDITION, edition, records[edition])
        slug, when = record.rows["guide"]["slug"], record.made_at[:10]
    except (BadRecord, KeyError):
        slug, when = "?", "?"
    file = f"{STORE}/{name_of(Kind.EDITION, edition)}"
    return (
        f"It is the number of the guide “{slug}”, of which revision {last} was published on {when}. Write it again "
        f"under that number and address word: every word and figure stands in {file}. "
        f"It goes on with revision {last + 1}. Until then its wall sheets say that it is not here."
    )


def _take_lot(record: Record, chosen: Lot | None) -> str:
    lot, told = _same_lot(record) if chosen is None else (chosen, "")
    address = Address(code=record.code, lot=lot, created_at=datetime.datetime.fromisoformat(record.made_at))
    # As it was: the newest code of a lot is the one that is printed.
    address.save_base(raw=True, force_insert=True)
    return told or f"leads to the lot {lot.name} again."


def _same_lot(record: Record) -> tuple[Lot, str]:
    written, of = record.rows["lot"], record.rows["coffee"]
    lot = Lot.objects.filter(name=written["name"]).select_related("coffee").first()
    if lot is None:
        coffee = _same_coffee(of) or _made(Coffee, of)
        made = _made(Lot, written, coffee=coffee)
        return made, (
            f"leads to the lot {made.name} of {coffee}, roasted on {made.roasted_on}, which is made again as it was "
            "when its code was made. Choose its guides, and look whether it was changed or recalled since."
        )
    if str(lot.roasted_on) != written["roasted_on"] or _same_coffee(of) != lot.coffee:
        raise _Unsettled(
            f"It was made for a lot {lot.name} of {of['name']}, roasted on {written['roasted_on']}; the lot of that "
            f"name here is of {lot.coffee}, roasted on {lot.roasted_on}. If it is the same, correct it at the desk and "
            "type this again. If not, enter the lot under a free name and type: take_in_codes --lead "
            f"{record.code}=THAT-NAME"
        )
    return lot, ""


def _same_coffee(written: Values) -> Coffee | None:
    """The coffee that the record speaks of; ``None`` where there is none."""
    alike = Q(name=written["name"]) | Q(code=written["code"]) | Q(slug=written["slug"])
    if written.get("gtin"):
        alike |= Q(gtin=written["gtin"])
    found = list(Coffee.objects.filter(alike))
    if len(found) > 1:
        raise _Unsettled(
            f"Its coffee was {written['name']} ({written['code']}); here {' and '.join(map(str, found))} each have "
            "some of that. Correct them at the desk and type this again."
        )
    return found[0].remaining if found else None


def _take_site(record: Record) -> str:
    site = _made(Site, record.rows["site"])
    return (
        f"leads to the site {site.name}, which is made again as it was when its code was made. Say what stands there "
        "and what is taught."
    )


def _made(model: type[Row], written: Values, **others: Model) -> Row:
    columns = {column.name: column for column in model._meta.concrete_fields}
    values = {
        name: columns[name].to_python(value)
        for name, value in written.items()
        if name in columns and not columns[name].is_relation
    }
    row = model(**values, **others)
    row.full_clean()
    row.save(force_insert=True)
    return row
