"""Small words for the tests of this room."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from guides.lifecycle.errors import Refusal, Refused
from guides.lifecycle.review import submit
from guides.models import Event, GuideVersion


@contextmanager
def refused(words: str, field: str | None = None, step: int | None = None) -> Iterator[None]:
    """The act is refused, and one of the reasons has these words, this field and this step."""
    with pytest.raises(Refused) as caught:
        yield
    reasons = caught.value.refusals
    assert any(fits(reason, words, field, step) for reason in reasons), [
        (str(reason), reason.field, reason.step) for reason in reasons
    ]


def fits(reason: Refusal, words: str, field: str | None, step: int | None) -> bool:
    return words in str(reason) and (field, step) == (reason.field, reason.step)


def verbs(version: GuideVersion) -> list[str]:
    """What the audit trail tells of a version, in order."""
    return list(Event.objects.filter(version_id=version.pk).order_by("pk").values_list("verb", flat=True))


@pytest.fixture
def in_review(draft: GuideVersion) -> GuideVersion:
    return submit(draft, by=draft.created_by)
