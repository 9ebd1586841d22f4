"""Writes down every code and every published revision outside the database, before a row of it is stored.

A record without a row harms nobody: it was never printed. A row without a record would be lost with the database.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final

from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.db.models import Model
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.models import Address, Guide, GuideVersion, Site
from guides.queries.code_records import (
    STORE,
    BadRecord,
    Kind,
    Record,
    Values,
    editions_of,
    known,
    name_of,
    read,
    recorded,
)

from .errors import Refusal, Refused

_HANDS: Final = 8  # writers at once: a store that is far away answers each after a while
# What a row gets later, and what belongs to one database alone.
_LEFT_OUT: Final = frozenset({"id", "recalled_at", "recall_reason"})


def keep(addresses: Iterable[Address]) -> None:
    """Record codes of lots that are about to be stored.

    Raises:
        Refused: their store takes nothing.
    """
    _write((Kind.LOT, _of_lot(address)) for address in addresses)


def keep_site(site: Site) -> None:
    """Record the code of a site.

    Raises:
        Refused: its store takes nothing.
    """
    _write([(Kind.SITE, _of_site(site))])


def keep_edition(version: GuideVersion) -> None:
    """Record a revision that is about to be published.

    Raises:
        Refused: its store takes nothing.
    """
    _write([(Kind.EDITION, _of_edition(version))])


def number_refusals(guide: Guide) -> list[Refusal]:
    """Why a guide cannot be published under its number: another one is on paper under it. Empty if it can."""
    before = editions_of(guide.number)
    if not before or GuideVersion.objects.filter(guide=guide, revision__isnull=False).exists():
        return []
    try:
        slug = read(Kind.EDITION, f"{guide.number}.{before[-1]}").rows["guide"]["slug"]
    except (BadRecord, KeyError):
        slug = "?"
    if slug == guide.slug:
        return []
    text = _(
        "Number: inserts carry {number} for the guide “{slug}”, which this database has forgotten. Give this one "
        "another number, or that address word if it is the same."
    )
    return [Refusal(format_lazy(text, number=guide.number, slug=slug), "number")]


def complete() -> int:
    """Record every code that has no record: those of before there were records, or of a bundle. Say how many."""
    lots = Address.objects.filter(code__in=known(Kind.LOT) - recorded(Kind.LOT)).select_related("lot__coffee")
    sites = Site.objects.filter(code__in=known(Kind.SITE) - recorded(Kind.SITE))
    late = [(Kind.LOT, _of_lot(each)) for each in lots] + [(Kind.SITE, _of_site(each)) for each in sites]
    if missing := known(Kind.EDITION) - recorded(Kind.EDITION):
        published = GuideVersion.objects.filter(revision__isnull=False).select_related("guide").order_by("pk")
        editions = (_of_edition(version) for version in published.iterator(chunk_size=50))
        late += [(Kind.EDITION, edition) for edition in editions if edition.code in missing]
    _write(late)
    return len(late)


def _of_lot(address: Address) -> Record:
    made_at = address.created_at or timezone.now()
    lot = address.lot
    return Record(address.code, made_at.isoformat(), {"lot": _values(lot), "coffee": _values(lot.coffee)})


def _of_site(site: Site) -> Record:
    return Record(site.code, timezone.now().isoformat(), {"site": _values(site)})


def _of_edition(version: GuideVersion) -> Record:
    made_at = version.published_at or timezone.now()
    rows: dict[str, Mapping[str, Any]] = {"guide": _values(version.guide), "snapshot": version.snapshot or {}}
    return Record(f"{version.guide.number}.{version.revision}", made_at.isoformat(), rows)


def _values(row: Model) -> Values:
    columns = (column for column in row._meta.concrete_fields if not column.is_relation)
    return dict(_told(row, column.name) for column in columns if column.name not in _LEFT_OUT)


def _told(row: Model, name: str) -> tuple[str, str | None]:
    value = getattr(row, name)
    return name, None if value is None else str(value)


def _write(records: Iterable[tuple[Kind, Record]]) -> None:
    written = [(name_of(kind, record.code), record.to_json()) for kind, record in records]
    try:
        with ThreadPoolExecutor(_HANDS) as hands:
            list(hands.map(_save, written))
    except Exception as error:  # each kind of store has its own
        text = _(
            "The code could not be written down outside the database, where it would outlive it: %(error)s. Nothing "
            "was kept. Look at that disk or store, then do this again."
        )
        raise Refused(Refusal(text % {"error": error})) from error


def _save(record: tuple[str, str]) -> None:
    (name, text), store = record, storages[STORE]
    if not store.exists(name):
        store.save(name, ContentFile(text.encode()))
