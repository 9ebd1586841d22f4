"""Why a version cannot go to customers, from its own plan and words."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.calculations.assessment import Assessment, Conditions
from guides.calculations.plan import Plan
from guides.calculations.validity import OutOfRange
from guides.models import GuideVersion, Step

from . import refusal_words, retyped
from .assessing import assess_plan, conditions_for
from .errors import Refusal
from .plan_of import plan_of, targets_of


def refusals(version: GuideVersion, *, at: datetime.datetime | None = None) -> list[Refusal]:
    """Every reason at once, each naming its field and step; empty if the plan can be published."""
    return refusals_of(version, plan_of(version), conditions_for(version, at=at))


def refusals_of(
    version: GuideVersion, plan: Plan, conditions: Conditions, steps: Iterable[Step] | None = None
) -> list[Refusal]:
    """The same for a plan and steps that are not saved yet; the version gives its words, promises and server."""
    try:
        assessment = assess_plan(plan, conditions, targets_of(version))
    except OutOfRange as error:
        return [refusal_words.out_of_range(error, plan)]
    return [
        *map(refusal_words.refusal, assessment.refusals),
        *_server(version, assessment),
        *retyped.refusals(version, steps),
    ]


def _server(version: GuideVersion, assessment: Assessment) -> list[Refusal]:
    if version.server_ml is None or version.server_ml >= assessment.server_ml:
        return []
    return [
        Refusal(
            format_lazy(
                _("Server: {given} mL, and {needed} mL may run out. Name a server that holds everything."),
                given=version.server_ml,
                needed=round(assessment.server_ml),
            ),
            field="server_ml",
        )
    ]
