"""Sees to it that every code has a record outside the database, and that record a copy off the machine."""

from __future__ import annotations

import logging

from guides.exchange import codes_copied
from guides.lifecycle import code_records

_log = logging.getLogger(__name__)


def record_codes() -> None:
    """Write what is missing; a store that is not reached is tried again, and must not stop other work."""
    try:
        code_records.complete()
        codes_copied.copy_away()
    except Exception as error:  # each kind of store has its own
        _log.warning("Codes could not be recorded outside the database: %s", error)
