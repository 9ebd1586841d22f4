"""Why a version cannot go to customers, from its own plan and words."""

from __future__ import annotations

import datetime

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.calculations.assessment import Assessment
from guides.calculations.validity import OutOfRange
from guides.models import GuideVersion

from . import refusal_words, retyped
from .assessing import assess_version
from .errors import Refusal
from .plan_of import plan_of


def refusals(version: GuideVersion, *, at: datetime.datetime | None = None) -> list[Refusal]:
    """Every reason at once, each naming its field and step; empty if the plan can be published."""
    try:
        assessment = assess_version(version, at=at)
    except OutOfRange as error:
        return [refusal_words.out_of_range(error, plan_of(version))]
    return [
        *map(refusal_words.refusal, assessment.refusals),
        *_server(version, assessment),
        *retyped.refusals(version),
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
