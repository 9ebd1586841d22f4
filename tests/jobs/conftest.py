"""Background work for tests: a kind that does what a test wants, and time that can be moved."""

import datetime
from collections.abc import Callable, Iterator

import pytest
import time_machine
from django.utils import timezone

from guides.jobs import runs, work


@pytest.fixture
def kind(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[runs.Held], object]], str]:
    """Make a kind of work out of a function."""

    def make(function: Callable[[runs.Held], object]) -> str:
        monkeypatch.setitem(work.KINDS, "for_tests", function)
        return "for_tests"

    return make


@pytest.fixture
def clock() -> Iterator[Callable[[float], None]]:
    """Let seconds pass."""
    with time_machine.travel(timezone.now(), tick=False) as traveller:
        yield lambda seconds: traveller.shift(datetime.timedelta(seconds=seconds))


@pytest.fixture(autouse=True)
def _not_stopping() -> Iterator[None]:
    runs.stopping.clear()
    yield
    runs.stopping.clear()
