"""Withdrawing: the one act on a frozen version."""

from __future__ import annotations

from typing import Any

import pytest

from guides.choices import State
from guides.lifecycle.withdraw import withdraw
from guides.models import GuideVersion, User
from guides.signals import version_withdrawn
from tests.factories import GuideFactory

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db


def test_it_says_who_when_why_and_what_instead(
    printed: GuideVersion, publisher: User, django_capture_on_commit_callbacks: Any
) -> None:
    told: list[int] = []

    def receiver(version_id: int, **_kwargs: Any) -> None:
        told.append(version_id)

    version_withdrawn.connect(receiver)
    other = GuideFactory(coffee=printed.guide.coffee)
    snapshot = printed.snapshot
    with django_capture_on_commit_callbacks(execute=True):
        withdraw(printed, by=publisher, reason=" The valve leaks. ", replacement=other)
    version_withdrawn.disconnect(receiver)
    printed.refresh_from_db()
    assert (printed.state, printed.withdrawn_by, printed.withdrawn_reason) == (
        State.WITHDRAWN,
        publisher,
        "The valve leaks.",
    )
    assert printed.withdrawn_at is not None
    assert (printed.replacement, printed.revision, printed.snapshot) == (other, 1, snapshot)
    assert verbs(printed)[-1] == "withdrawn"
    assert told == [printed.pk]


def test_a_reason_is_needed(printed: GuideVersion, publisher: User) -> None:
    with refused("Reason: say why", "withdrawn_reason"):
        withdraw(printed, by=publisher, reason="")


def test_a_guide_does_not_replace_itself(printed: GuideVersion, publisher: User) -> None:
    with refused("name another guide", "replacement"):
        withdraw(printed, by=publisher, reason="Old.", replacement=printed.guide)


def test_only_once_and_only_what_is_published(printed: GuideVersion, draft: GuideVersion, publisher: User) -> None:
    with refused("This version is draft", "state"):
        withdraw(draft, by=publisher, reason="Old.")
    withdraw(printed, by=publisher, reason="Old.")
    with refused("Open the next draft to bring it back", "state"):
        withdraw(printed, by=publisher, reason="Old.")
