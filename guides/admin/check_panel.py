"""What the calculation room says about a draft beside its form: as it is saved, or as it is typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from guides.calculations.assessment import Assessment, Conditions
from guides.calculations.validity import OutOfRange, Severity
from guides.choices import State
from guides.lifecycle import content, refusal_words
from guides.lifecycle.assessing import assess_plan, conditions_for
from guides.lifecycle.errors import Refusal
from guides.lifecycle.plan_of import plan_of, targets_of
from guides.models import GuideVersion, Step
from guides.presenters import drawings, facts, findings
from guides.presenters.sheet import Fact

from . import figures, intent, openings
from .acts import Reason
from .intent import Intent
from .openings import DripChoice
from .typed import Typed

# What a figure needs before it can be worked out; the rest of a plan may still be empty.
_NEEDED = frozenset({"guide", "brewer", "dose_g", "water_g", "bypass_g", "ice_g"})
# Stand in where they cannot be read; no figure is shown then that hangs on them.
_HEAT_AND_GRIND = {"kettle_c": 90, "grind_um": 700}


@dataclass(frozen=True)
class Panel:
    """``problems`` cannot be read, ``refusals`` stop publishing, ``cautions`` ask for a second look.

    ``waits`` is set while times, temperatures and drawings wait for what is missing.
    """

    live: bool = False
    problems: tuple[Reason, ...] = ()
    missing: tuple[str, ...] = ()
    waits: bool = False
    refusals: tuple[Refusal, ...] = ()
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[str, ...] = ()
    figures: tuple[Fact, ...] = ()
    rests_on: str = ""
    intent: Intent | None = None
    drip: DripChoice | None = None
    drawings: tuple[SafeString, ...] = ()
    assessment: Assessment | None = None

    @property
    def to_mend(self) -> int:
        """How many things stand between this draft and publishing."""
        return len(self.problems) + len(self.reasons) + bool(self.missing)


def of(version: GuideVersion, drip: str = "") -> Panel:
    """Check a version as it is saved; ``drip`` is a wanted first drip as typed."""
    prefixes = [f"steps-{index}" for index in range(len(version.steps.all()))]
    steps = version.steps.all()
    return _checked(Panel(), version, steps, conditions_for(version), prefixes, drip)


def of_typed(typed: Typed, drip: str = "") -> Panel:
    """Check a version as it is typed: as much of it as can be read."""
    panel = Panel(live=True, problems=typed.problems, missing=typed.missing)
    if typed.broken & _NEEDED:
        return replace(panel, waits=True)
    version, conditions = typed.version, conditions_for(typed.version)
    if typed.steps is None or typed.broken & _HEAT_AND_GRIND.keys():
        return _without_course(panel, version, conditions, typed.broken)
    return _checked(panel, version, typed.steps, conditions, typed.prefixes, drip)


def _checked(
    panel: Panel,
    version: GuideVersion,
    steps: Iterable[Step],
    conditions: Conditions,
    prefixes: Sequence[str],
    drip: str,
) -> Panel:
    plan = plan_of(version, steps)
    refusals = tuple(content.refusals_of(version, plan, conditions, steps))
    reasons = tuple(Reason(str(refusal), anchor(version, refusal, prefixes)) for refusal in refusals)
    panel = replace(panel, refusals=refusals, reasons=reasons)
    try:
        assessment = assess_plan(plan, conditions, targets_of(version))
    except OutOfRange:  # among the refusals
        return panel
    language = get_language() or version.language
    looked_at = (finding for finding in assessment.cautions if finding.severity is Severity.CAUTION)
    return replace(
        panel,
        cautions=tuple(findings.message(finding, language) for finding in looked_at),
        figures=tuple(figures.of(plan, targets_of(version), assessment, language)),
        rests_on=facts.rests_on(assessment.drained or assessment.cup_g),
        intent=intent.of(version.summary, plan, targets_of(version), assessment, language),
        drip=openings.choice(plan, conditions, assessment, prefixes, drip, language),
        drawings=_drawn(
            drawings.plan_drawing(plan, assessment, language),
            drawings.cone_drawing(plan, assessment, language),
            drawings.temperature_drawing(plan, assessment, language),
            *drawings.pour_path_drawings(plan, assessment.step_times, language),
        ),
        assessment=assessment,
    )


def _without_course(panel: Panel, version: GuideVersion, conditions: Conditions, broken: frozenset[str]) -> Panel:
    """Ratios, what fits and what lands in the cup need neither steps nor heat."""
    for name, stand_in in _HEAT_AND_GRIND.items():
        if name in broken:
            setattr(version, name, stand_in)
    still = plan_of(version, ())
    try:
        assessment = assess_plan(still, conditions, targets_of(version))
    except OutOfRange as error:
        refusals = (refusal_words.out_of_range(error, still),)
        reasons = tuple(Reason(str(refusal), anchor(version, refusal, ())) for refusal in refusals)
        return replace(panel, waits=True, refusals=refusals, reasons=reasons)
    language = get_language() or version.language
    found = figures.without_course(still, targets_of(version), assessment, language)
    return replace(panel, waits=True, figures=tuple(found))


def _drawn(*drawn: str) -> tuple[SafeString, ...]:
    return tuple(mark_safe(svg) for svg in drawn if svg)  # noqa: S308 - our own SVG


def anchor(version: GuideVersion, refusal: Refusal, prefixes: Sequence[str] = ()) -> str:
    """Where on the version's page a refusal is mended."""
    writing = version.state == State.DRAFT
    if refusal.step is None:
        return f"#id_{refusal.field}" if writing and refusal.field else ""
    prefix = prefixes[refusal.step] if refusal.step < len(prefixes) else f"steps-{refusal.step}"
    return f"#id_{prefix}-{refusal.field}" if writing and refusal.field else f"#{prefix}"


def say_beside_fields(context: dict[str, Any]) -> None:
    """Put each refusal of the saved draft beside the field or step it names, on a form that is only shown."""
    refusals: Iterable[Refusal] = context["check"].refusals
    form = context["adminform"].form
    steps = context["inline_admin_formsets"][0].formset.forms
    for refusal in refusals:
        place = form if refusal.step is None else steps[refusal.step]
        if refusal.field in place.fields:
            place.errors.setdefault(refusal.field, place.error_class()).append(str(refusal.message))
