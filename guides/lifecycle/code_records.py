"""Writes down every code outside the database, before a row of it is stored.

A record without a row harms nobody: it was never printed. A row without a record would be lost with the database.
"""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import Final

from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.db.models import Model
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.models import Address, Site
from guides.queries.code_records import STORE, Kind, Record, Values, known, name_of, recorded

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


def complete() -> int:
    """Record every code that has no record: those of before there were records, or of a bundle. Say how many."""
    lots = Address.objects.filter(code__in=known(Kind.LOT) - recorded(Kind.LOT)).select_related("lot__coffee")
    sites = Site.objects.filter(code__in=known(Kind.SITE) - recorded(Kind.SITE))
    late = [(Kind.LOT, _of_lot(each)) for each in lots] + [(Kind.SITE, _of_site(each)) for each in sites]
    _write(late)
    return len(late)


def _of_lot(address: Address) -> Record:
    made_at = address.created_at or timezone.now()
    lot = address.lot
    return Record(address.code, made_at.isoformat(), {"lot": _values(lot), "coffee": _values(lot.coffee)})


def _of_site(site: Site) -> Record:
    return Record(site.code, timezone.now().isoformat(), {"site": _values(site)})


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
