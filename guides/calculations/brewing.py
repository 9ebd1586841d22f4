"""The likely course of a brew: the simulation at what is known of the coffee."""

from __future__ import annotations

from functools import lru_cache

from .assessment import Conditions
from .drawdown import Course, simulate
from .learnt_flow import posterior
from .plan import Plan
from .retention import retention_window

FINE_S = 0.25
COARSE_S = 0.5
"""For searches that look at many brews; the integration is of second order, so both are fine enough."""


@lru_cache(maxsize=16)
def likely_course(plan: Plan, conditions: Conditions, step_s: float = FINE_S) -> Course:
    """Simulate a brew with the likely flow factor and retention of its coffee; the last few are remembered.

    Args:
        plan: the brew.
        conditions: where it is brewed, and with which coffee.
        step_s: time step in s.

    Returns:
        The course of the brew.

    Raises:
        OutOfRange: as for ``drawdown.simulate``.

    Valid range: as for ``drawdown.simulate``.
    Source: drawdown.simulate, learnt_flow.posterior, retention.retention_window.

    >>> from .plan import Action, Step
    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> likely_course(Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 60, 240),)), Conditions()).outcome
    <Outcome.DRAINED: 'drained'>
    """
    return simulate(
        plan,
        flow_factor=posterior(conditions.trial_flow_factors, conditions.other_lots_flow_factors).factor,
        retention_g_g=retention_window(conditions.trial_retentions).likely,
        room_c=conditions.room_c,
        gas=conditions.gas,
        step_s=step_s,
    )
