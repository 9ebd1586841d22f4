"""The cup a roaster intends, in words, against what the numbers promise; they disagree only where numbers can tell."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from guides.calculations.assessment import Assessment, Targets
from guides.calculations.plan import Plan
from guides.calculations.promises import usual_extraction, usual_strength
from guides.presenters.numbers import Figures


@dataclass(frozen=True)
class Intent:
    """``words`` are the roaster's, ``usual`` what such a plan gives, ``disagree`` where a promise lies outside that."""

    words: str
    usual: str
    agrees: str
    disagree: tuple[str, ...]


def of(words: str, plan: Plan, promised: Targets, assessment: Assessment, language: str) -> Intent:
    """Hold the promised strength and extraction against what the plan gives at the usual extraction.

    Args:
        words: what the cup will be like, as the roaster put it.
        plan: the brew.
        promised: what the guide promises.
        assessment: of that plan.
        language: of the sentences.
    """
    say, usual, strength = Figures(language), usual_extraction(), usual_strength(plan, assessment.cup_g)
    extracted = say.percent_span(usual.low, usual.high, 0)
    if strength is None:
        return Intent(words, "", "", ())
    span = say.percent_span(strength.low, strength.high)
    told = {"strength": say.about(span), "extraction": extracted}
    sentence = _("At the usual extraction of %(extraction)s this plan gives %(strength)s in the cup.") % told
    disagree, low, high = [], promised.strength_low, promised.strength_high
    if low is not None and high is not None:
        asked = {"promised": say.percent_span(low, high), "usual": span}
        if low > strength.high:
            disagree.append(
                _("Promised %(promised)s is stronger than %(usual)s: pour less water, or promise less.") % asked
            )
        elif high < strength.low:
            disagree.append(
                _("Promised %(promised)s is weaker than %(usual)s: add water to the cup, or promise more.") % asked
            )
    if promised.extraction is not None and not usual.low <= promised.extraction <= usual.high:
        disagree.append(
            _("Promised extraction of %(promised)s lies outside the usual %(usual)s.")
            % {"promised": say.percent(promised.extraction, 0), "usual": extracted}
        )
    agrees = "" if disagree or (low is None and promised.extraction is None) else _("The promise lies within that.")
    return Intent(words, sentence, agrees, tuple(disagree))
