"""The one table of what a packing run may become. Any other move is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from guides.choices import JobState, RunState, Verb
from guides.models import PackingRun


@dataclass(frozen=True)
class Transition:
    """A legal move, from any of ``sources``; ``when_lost`` also from where work on it has failed or got lost."""

    name: str
    sources: tuple[RunState, ...]
    target: RunState
    verb: Verb
    when_lost: bool = False


MAKE_AGAIN: Final = Transition(
    "make_again", (RunState.REFUSED, RunState.CANCELLED), RunState.MAKING, Verb.ORDERED_RUN, when_lost=True
)
CANCEL: Final = Transition("cancel", (RunState.MAKING,), RunState.CANCELLED, Verb.CANCELLED_RUN)
RELEASE: Final = Transition("release", (RunState.MAKING,), RunState.READY, Verb.RELEASED_RUN)
REFUSE: Final = Transition("refuse", (RunState.MAKING,), RunState.REFUSED, Verb.REFUSED_RUN)
COUNT: Final = Transition("count", (RunState.READY,), RunState.COUNTED, Verb.COUNTED_RUN)
ALL: Final = (MAKE_AGAIN, CANCEL, RELEASE, REFUSE, COUNT)

RELEASED: Final = (RunState.READY, RunState.COUNTED)
"""Where a run has a file that was read back."""


def fits(run: PackingRun, transition: Transition) -> bool:
    """Say whether a run can make a move from where it stands."""
    return run.state in transition.sources or (transition.when_lost and is_lost(run))


def is_lost(run: PackingRun) -> bool:
    """Say whether nobody works on a run that is to be made."""
    ended = run.job is None or run.job.state in (JobState.FAILED, JobState.CANCELLED)
    return run.state == RunState.MAKING and ended
