"""Finished answers, kept by each process for as long as the marks of what they rest on stay as they are.

A key holds the address, the newest of those marks and the day; so an answer that has changed is looked for under
another key, and what nobody asks for any more falls off the end.
"""

from __future__ import annotations

import datetime
import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import Final

from django.db import connection
from django.http import HttpResponse

MOST: Final = 256
"""Answers kept by a process; one is about 20 kB."""
_LONGEST_ADDRESS: Final = 400


@dataclass(frozen=True)
class Key:
    address: str
    changed_at: datetime.datetime
    day: datetime.date


_answers: OrderedDict[Key, HttpResponse] = OrderedDict()
_lock: Final = threading.Lock()


def find(key: Key) -> HttpResponse | None:
    """Give an answer of one's own: whoever hands it out writes into it."""
    with _lock:
        found = _answers.get(key)
        if found is None:
            return None
        _answers.move_to_end(key)
    return HttpResponse(found.content, headers=dict(found.headers))


def keep(key: Key, answer: HttpResponse) -> None:
    # What is read inside a transaction may never come to be.
    if answer.status_code != 200 or len(key.address) > _LONGEST_ADDRESS or connection.in_atomic_block:
        return
    headers = {name: answer.headers[name] for name in ("Content-Type", "Content-Language") if name in answer.headers}
    with _lock:
        _answers[key] = HttpResponse(answer.content, headers=headers)
        while len(_answers) > MOST:
            _answers.popitem(last=False)
