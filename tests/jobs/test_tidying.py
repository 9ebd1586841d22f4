"""What would pile up for years goes after a month; what is younger, or still waits, stays."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from axes.models import AccessAttempt
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from guides.jobs import sweeper, tasks, tidying, work
from tests.factories import UserFactory

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]


def kept() -> tuple[int, int, int]:
    return Session.objects.count(), AccessAttempt.objects.count(), DBTaskResult.objects.count()


def test_sessions_log_ins_and_finished_tasks_go_after_their_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(work.KINDS, "for_tests", lambda held: "made")
    Client().force_login(UserFactory(role="roaster"))
    Client().post("/admin/login/", {"username": "nobody", "password": "wrong"})
    run = tasks.start("for_tests")
    DBTaskResult.objects.update(status="SUCCEEDED", finished_at=timezone.now())
    type(run).objects.update(state="done", finished_at=timezone.now())
    tasks.start("for_tests")
    before = kept()
    sweeper.sweep()
    assert before == kept() == (1, 1, 2)
    with time_machine.travel(timezone.now() + tidying.KEPT_FOR + datetime.timedelta(minutes=1)):
        sweeper.sweep()
    assert kept() == (0, 0, 1), "what still waits stays"
    assert type(run).objects.count() == 2
