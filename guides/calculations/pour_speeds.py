"""Pours of another size: their seconds stretch or shrink only where the stream would leave good practice."""

from __future__ import annotations

import math
from dataclasses import replace

from .constants import POUR_RATE_LEAST_G_S, POUR_RATE_MOST_G_S
from .plan import Action, Anchor, Plan
from .vessel import Flow


def keep_speeds(plan: Plan, guide: Plan) -> Plan:
    """Give pours that became too fast or too slow their seconds; later steps move with a pour that grew longer.

    A pour keeps its seconds while its stream stays within good practice, or within the guide's own speed.

    Args:
        plan: the brew in its new size.
        guide: the same brew in the guide's size, step by step.

    Returns:
        The plan with whole seconds; anchors stay.

    Source: common practice, no source (2 to 10 g/s).

    >>> from .plan import Step
    >>> from .vessel import Brewer, Cone
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> guide = Plan(15, 240, 93, 700, cone, (Step(Action.POUR, 0, 10, 60), Step(Action.POUR, 40, 70, 240)))
    >>> big = Plan(30, 480, 93, 700, cone, (Step(Action.POUR, 0, 10, 120), Step(Action.POUR, 40, 70, 480)))
    >>> [(step.start_s, step.end_s) for step in keep_speeds(big, guide).steps]
    [(0, 12), (42, 78)]
    """
    if plan.brewer.flow is Flow.CLOSED:
        return plan
    steps = list(plan.steps)
    before_g = guide_before_g = 0.0
    for index, (step, written) in enumerate(zip(plan.steps, guide.steps, strict=True)):
        if step.action is not Action.POUR or step.target_g is None or written.target_g is None:
            continue
        grams, guide_grams = step.target_g - before_g, written.target_g - guide_before_g
        before_g, guide_before_g = step.target_g, written.target_g
        seconds = written.end_s - written.start_s
        if seconds <= 0 or grams <= 0:
            continue
        own = guide_grams / seconds
        fastest, slowest = max(POUR_RATE_MOST_G_S.value, own), min(POUR_RATE_LEAST_G_S.value, own)
        wanted = seconds
        if grams / seconds > fastest * 1.001:
            wanted = math.ceil(grams / fastest - 1e-6)
        elif grams / seconds < slowest * 0.999:
            wanted = max(math.floor(grams / slowest), 1)
        longer = max(wanted - seconds, 0)
        now = steps[index]
        steps[index] = replace(now, end_s=now.start_s + wanted)
        for later in range(index + 1, len(steps)):
            follower = steps[later]
            if longer and follower.anchor in (Anchor.START, now.anchor):
                steps[later] = replace(follower, start_s=follower.start_s + longer, end_s=follower.end_s + longer)
    return replace(plan, steps=tuple(steps))
