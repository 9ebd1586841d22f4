"""Which grounds a pour reaches, seen from above."""

from __future__ import annotations

from typing import Final

from .plan import Action, Path, Plan
from .vessel import Flow

REACHES_RIM: Final = (Path.SPIRAL_OUT, Path.SPIRAL_IN, Path.RIM)
"""Paths on which the stream comes to the edge of the bed."""
_MIXES: Final = (Action.STIR, Action.SWIRL)


def rim_dry_after(plan: Plan, index: int) -> bool:
    """Tell whether the rim of the bed is still dry when a step ends.

    Args:
        plan: the brew.
        index: which of its steps, from 0.

    Returns:
        True if every pour so far stayed in the centre and nothing stirred; False where a path is not told, and in a
        jar, where all grounds swim.

    Valid range: any plan that has such a step.
    Source: common practice, no source.

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> pour = Step(Action.POUR, 0, 10, 50, path=Path.CENTRE)
    >>> rim_dry_after(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), (pour,)), 0)
    True
    """
    so_far = plan.steps[: index + 1]
    pours = [step for step in so_far if step.action is Action.POUR]
    if plan.brewer.flow is Flow.CLOSED or not pours or any(step.action in _MIXES for step in so_far):
        return False
    return all(step.path is Path.CENTRE for step in pours)
