"""What a page costs the database: its queries, and the rows that were made into objects."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.db import connection
from django.db.models import Model
from django.db.models.signals import post_init
from django.test.utils import CaptureQueriesContext


@dataclass
class Read:
    queries: int = 0
    rows: Counter[str] = field(default_factory=Counter)


@contextmanager
def reading() -> Iterator[Read]:
    """Count both while this lasts."""
    read = Read()

    def note(sender: type[Model], **_rest: Any) -> None:
        read.rows[sender.__name__] += 1

    post_init.connect(note)
    try:
        with CaptureQueriesContext(connection) as captured:
            yield read
    finally:
        post_init.disconnect(note)
    read.queries = len(captured)
