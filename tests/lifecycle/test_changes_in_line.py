"""What others are told of gets its number in the order it becomes true, however slow an act is."""

from __future__ import annotations

import threading

import pytest
from django.db import connection, transaction

from guides.choices import Verb
from guides.lifecycle import audit
from guides.models import Event
from guides.queries import shop
from tests.factories import UserFactory, published

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


def late_and_early() -> tuple[list[int], list[int]]:
    """Begin one act, then a second; let the second try to end first. What a reader saw after it, and what there is."""
    by, version = UserFactory(role="publisher"), published()
    seen: list[int] = []
    second_done = threading.Event()

    def second() -> None:
        with transaction.atomic():
            audit.record(Verb.WITHDRAWN, by=by, version=version, reason="Too hot.")
        seen.extend(shop.changes().values_list("pk", flat=True))
        second_done.set()
        connection.close()

    other = threading.Thread(target=second)
    with transaction.atomic():
        audit.record(Verb.WITHDRAWN, by=by, version=version, reason="Stale.")
        other.start()
        second_done.wait(1)  # as long as it could take if nothing held it up
    other.join(30)
    return seen, list(Event.objects.filter(verb__in=shop.TOLD).order_by("pk").values_list("pk", flat=True))


def test_nobody_reads_past_a_change_that_is_still_to_come() -> None:
    seen, there = late_and_early()
    assert seen == there


def test_control_without_waiting_in_line_one_is_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(audit, "_in_line", lambda: None)
    seen, there = late_and_early()
    missed = [pk for pk in there if pk < max(seen) and pk not in seen]
    assert bool(missed) is (connection.vendor == "postgresql")
