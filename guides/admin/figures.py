"""The figures of a check: those of the page, and what only a writer weighs a plan by."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from guides.calculations.assessment import Assessment, Targets
from guides.calculations.plan import Action, Plan
from guides.presenters import facts
from guides.presenters.numbers import Figures, clock
from guides.presenters.sheet import Fact

# What no step, kettle or grind changes.
_STANDS = frozenset({"brew_ratio", "cup_ratio", "strength", "extraction", "cup", "server", "kettle_fill"})


def of(plan: Plan, promised: Targets, assessment: Assessment, language: str) -> Iterator[Fact]:
    """Give them in the order of a brew; what a plan does not have is left out."""
    say = Figures(language)
    yield from facts.targets(plan, promised, assessment, say)
    if assessment.shut_limit_g is not None:
        used = _("this plan: %(mass)s") % {"mass": say.grams(assessment.shut_charge_g or 0, 0)}
        yield Fact("shut_limit", _("Fits with the valve shut"), say.grams(assessment.shut_limit_g, 0), used)
    yield from (fact for fact in facts.predictions(promised, assessment, say) if fact.key != "slurry")
    yield from _slurry(plan, assessment, say)
    yield Fact("server", _("Server at least"), say.millilitres(assessment.server_ml))
    yield Fact("kettle_fill", _("Water in the kettle"), say.grams(assessment.kettle_fill_g, 0))
    if assessment.overflow_at_s is not None:
        yield Fact("overflow", _("Runs over at"), clock(assessment.overflow_at_s))


def without_course(plan: Plan, promised: Targets, assessment: Assessment, language: str) -> Iterator[Fact]:
    """Give the figures that stand while steps, kettle or grind cannot be read."""
    yield from (fact for fact in of(plan, promised, assessment, language) if fact.key in _STANDS)
    if assessment.shut_limit_g is not None:
        limit = Figures(language).grams(assessment.shut_limit_g, 0)
        yield Fact("shut_limit", _("Fits with the valve shut"), limit)


def _slurry(plan: Plan, assessment: Assessment, say: Figures) -> Iterator[Fact]:
    """How hot water and coffee are together, each time with its moment."""
    poured = [
        time.end_s for step, time in zip(plan.steps, assessment.step_times, strict=True) if step.action is Action.POUR
    ]
    if not poured or not assessment.course:
        return
    hottest_s = max(assessment.course, key=lambda point: point.slurry_c).time_s
    # By moment, so that one that is also the hottest is told once.
    moments = {
        round(poured[-1]): ("slurry_last", _("Slurry after the last pour")),
        round(poured[0]): ("slurry_first", _("Slurry after the first pour")),
        round(hottest_s): ("slurry_hottest", _("Slurry at its hottest")),
    }
    for time_s, (key, label) in sorted(moments.items()):
        point = min(assessment.course, key=lambda each: abs(each.time_s - time_s))
        note = _("at %(time)s, water and coffee in the brewer") % {"time": clock(time_s)}
        yield Fact(key, label, say.about(say.celsius(round(point.slurry_c))), note)
