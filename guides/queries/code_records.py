"""Every code that was ever made, as a small file of its own outside the database: what that forgets, they still know.

A database goes back to an earlier day with a backup; bags do not. A record is written before its code is stored, and
holds the lot and coffee, or the site, as they were then. ``lifecycle/code_records.py`` writes them, and
``exchange/codes_taken_in.py`` takes in again what a database does not know.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import Enum
from typing import Any, Final

from django.core.files.storage import Storage, storages
from django.db.models import Max

from guides.models import Address, Guide, GuideVersion, Site

STORE: Final = "codes"
"""Its name among the storages, and in a backup."""

Values = Mapping[str, str | None]
"""The columns of a row by name, as text."""


class Kind(Enum):
    """What a code leads to; the value leads its printed path, too."""

    LOT = "L"
    SITE = "S"
    EDITION = "G"
    """A published revision, by guide and number such as ``12.3``: it is on inserts and wall sheets beside a code."""


class BadRecord(Exception):
    """The file of a record cannot be read."""


@dataclass(frozen=True)
class Record:
    """What was written down: ``rows`` has the lot and its coffee, the site, or the guide and its whole snapshot."""

    code: str
    made_at: str
    rows: Mapping[str, Mapping[str, Any]]

    def to_json(self) -> str:
        return json.dumps(asdict(self), indent=1, sort_keys=True, ensure_ascii=False)


def name_of(kind: Kind, code: str) -> str:
    """Give the name of a record's file in its store."""
    return f"{kind.value}/{code}.json"


def recorded(kind: Kind, store: Storage | None = None) -> set[str]:
    """Give every code of a kind that has a record, in the site's own store or another."""
    try:
        _folders, files = (store or storages[STORE]).listdir(kind.value)
    except FileNotFoundError:  # none was ever made
        return set()
    return {file.removesuffix(".json") for file in files if not file.startswith(".")}


def known(kind: Kind) -> set[str]:
    """Give every code of a kind that the database knows."""
    if kind is Kind.EDITION:
        rows = GuideVersion.objects.filter(revision__isnull=False).values_list("guide__number", "revision")
        return {f"{number}.{revision}" for number, revision in rows}
    codes = Address.objects.all() if kind is Kind.LOT else Site.objects.all()
    return set(codes.values_list("code", flat=True))


def forgotten(kind: Kind, there: set[str]) -> set[str]:
    """Give the recorded codes that the database does not know, and of editions the numbers of unknown guides alone.

    A guide that is written again goes on behind its last recorded revision, and leaves those before it unknown.
    """
    if kind is Kind.EDITION:
        return {guide_of(edition) for edition in there} - {guide_of(edition) for edition in known(kind)}
    return there - known(kind)


def editions_of(number: int) -> list[int]:
    """Give the recorded revisions of a guide in their order."""
    return sorted(int(each.partition(".")[2]) for each in recorded(Kind.EDITION) if guide_of(each) == str(number))


def highest_number() -> int:
    """Give the highest number of a guide that was ever given or printed; 0 for none."""
    given = Guide.objects.aggregate(highest=Max("number"))["highest"] or 0
    return max([given, *(int(guide_of(each)) for each in recorded(Kind.EDITION))])


def guide_of(edition: str) -> str:
    """Give the number of the guide of an edition such as ``12.3``."""
    return edition.partition(".")[0]


def read(kind: Kind, code: str, store: Storage | None = None) -> Record:
    """Read a record.

    Raises:
        BadRecord: it is damaged, or of another code.
    """
    try:
        with (store or storages[STORE]).open(name_of(kind, code)) as file:
            record = Record(**json.loads(file.read()))
        whole = record.code == code and all(isinstance(row, dict) for row in record.rows.values())
    except (ValueError, TypeError, AttributeError) as error:
        raise BadRecord(code) from error
    if not whole:
        raise BadRecord(code)
    return record


@dataclass(frozen=True)
class Agreement:
    """How many codes the database knows, how many recorded ones it does not, and how many have no record."""

    known: int
    unknown: int
    unrecorded: int


def agreement() -> Agreement | None:
    """Compare the database with the records; ``None`` where their store is not reached."""
    sums = [0, 0, 0]
    for kind in Kind:
        try:
            there = recorded(kind)
        except Exception:
            return None
        ours = known(kind)
        for place, codes in enumerate((ours, forgotten(kind, there), ours - there)):
            sums[place] += len(codes)
    return Agreement(*sums)
