"""The figures of a check: those of the page, and what only a writer weighs a plan by."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from guides.calculations.assessment import Assessment, Targets
from guides.calculations.plan import Plan
from guides.presenters import facts
from guides.presenters.numbers import Figures, clock
from guides.presenters.sheet import Fact


def of(plan: Plan, promised: Targets, assessment: Assessment, language: str) -> Iterator[Fact]:
    """Give them in the order of a brew; what a plan does not have is left out."""
    say = Figures(language)
    yield from facts.targets(plan, promised, assessment, say)
    if assessment.shut_limit_g is not None:
        used = _("this plan: %(mass)s") % {"mass": say.grams(assessment.shut_charge_g or 0, 0)}
        yield Fact("shut_limit", _("Fits with the valve shut"), say.grams(assessment.shut_limit_g, 0), used)
    yield from facts.predictions(promised, assessment, say)
    yield Fact("server", _("Server at least"), say.millilitres(assessment.server_ml))
    yield Fact("kettle_fill", _("Water in the kettle"), say.grams(assessment.kettle_fill_g, 0))
    if assessment.overflow_at_s is not None:
        yield Fact("overflow", _("Runs over at"), clock(assessment.overflow_at_s))
