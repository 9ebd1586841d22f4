"""What the calculation room says about a saved draft, beside its form."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from guides.calculations.validity import OutOfRange, Severity
from guides.choices import State
from guides.lifecycle import content
from guides.lifecycle.assessing import assess_version
from guides.lifecycle.errors import Refusal
from guides.lifecycle.plan_of import plan_of, targets_of
from guides.models import GuideVersion
from guides.presenters import drawings, facts, findings
from guides.presenters.sheet import Fact

from . import figures
from .acts import Reason


@dataclass(frozen=True)
class Panel:
    """``refusals`` stop publishing, ``cautions`` ask for a second look."""

    refusals: tuple[Refusal, ...]
    reasons: tuple[Reason, ...]
    cautions: tuple[str, ...] = ()
    figures: tuple[Fact, ...] = ()
    rests_on: str = ""
    drawing: SafeString | None = None


def of(version: GuideVersion) -> Panel:
    """Check a version as it is saved."""
    refusals = tuple(content.refusals(version))
    reasons = tuple(Reason(str(refusal), anchor(version, refusal)) for refusal in refusals)
    try:
        assessment = assess_version(version)
    except OutOfRange:  # among the refusals
        return Panel(refusals, reasons)
    plan, language = plan_of(version), get_language() or version.language
    looked_at = (finding for finding in assessment.cautions if finding.severity is Severity.CAUTION)
    return Panel(
        refusals,
        reasons,
        tuple(findings.message(finding, language) for finding in looked_at),
        tuple(figures.of(plan, targets_of(version), assessment, language)),
        facts.rests_on(assessment.drained or assessment.cup_g),
        mark_safe(drawings.plan_drawing(plan, assessment, language)),  # noqa: S308 - our own SVG
    )


def anchor(version: GuideVersion, refusal: Refusal) -> str:
    """Where on the version's page a refusal is mended."""
    writing = version.state == State.DRAFT
    if refusal.step is None:
        return f"#id_{refusal.field}" if writing and refusal.field else ""
    return f"#id_steps-{refusal.step}-{refusal.field}" if writing and refusal.field else f"#steps-{refusal.step}"


def say_beside_fields(context: dict[str, Any]) -> None:
    """Put each refusal of the saved draft beside the field or step it names, on a form that is only shown."""
    refusals: Iterable[Refusal] = context["check"].refusals
    form = context["adminform"].form
    steps = context["inline_admin_formsets"][0].formset.forms
    for refusal in refusals:
        place = form if refusal.step is None else steps[refusal.step]
        if refusal.field in place.fields:
            place.errors.setdefault(refusal.field, place.error_class()).append(str(refusal.message))
