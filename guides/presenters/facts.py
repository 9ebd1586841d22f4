"""The named figures of a guide: what goes in, what is promised, what is expected."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext, pgettext

from guides.calculations.assessment import Assessment, Targets
from guides.calculations.grind import Word, word_for
from guides.calculations.plan import Plan
from guides.calculations.validity import Window
from guides.lifecycle.grinder_table import GrinderSetting

from .numbers import Figures
from .sheet import Fact


def ingredients(plan: Plan, figures: Figures) -> Iterator[Fact]:
    """What goes in. The kettle's figure says where and when it is read."""
    yield Fact("dose", gettext("Coffee"), figures.grams(plan.dose_g), mass_g=_exactly(plan.dose_g))
    water = gettext("through the coffee") if plan.bypass_g or plan.ice_g else ""
    yield Fact("water", gettext("Water"), figures.grams(plan.water_g), water, _exactly(plan.water_g))
    if plan.bypass_g:
        mass = figures.grams(plan.bypass_g)
        if plan.bypass_to_taste:
            mass = figures.gram_span(0, plan.bypass_g)
            when, mass_g = gettext("to taste, at the end"), (0.0, plan.bypass_g)
        else:
            when, mass_g = gettext("at the end"), _exactly(plan.bypass_g)
        yield Fact("bypass", gettext("Water in the cup"), mass, when, mass_g)
    if plan.ice_g:
        ice = figures.grams(plan.ice_g)
        yield Fact("ice", gettext("Ice"), ice, gettext("in the server"), _exactly(plan.ice_g))
    yield Fact("kettle", gettext("Kettle"), figures.celsius(plan.kettle_c), gettext("reads at the start"))
    yield Fact("grind", gettext("Grind"), grind_word(plan.grind_um), figures.micrometres(plan.grind_um))


def _exactly(mass_g: float) -> tuple[float, float]:
    return mass_g, mass_g


def targets(plan: Plan, promised: Targets, assessment: Assessment, figures: Figures) -> Iterator[Fact]:
    """What the guide sets out to give."""
    yield Fact("brew_ratio", gettext("Brew ratio"), figures.ratio(assessment.brew_ratio), gettext("coffee to water"))
    if plan.bypass_g or plan.ice_g:
        note = gettext("with all water and ice") if plan.ice_g else gettext("with the water in the cup")
        yield Fact("cup_ratio", gettext("Cup ratio"), figures.ratio(assessment.cup_ratio), note)
    low, high = promised.strength_low, promised.strength_high
    if low is not None and high is not None:
        yield Fact("strength", gettext("Strength"), figures.percent_span(low, high), gettext("of the finished cup"))
    if promised.extraction is not None:
        yield Fact("extraction", gettext("Extraction"), figures.percent(promised.extraction, 0), gettext("of the dose"))


def predictions(promised: Targets, assessment: Assessment, figures: Figures) -> Iterator[Fact]:
    """What is expected to happen, marked as such."""
    if assessment.first_drip is not None:
        yield Fact("first_drip", gettext("First drip"), figures.about(figures.time_window(assessment.first_drip)))
    if assessment.drained is not None:
        yield Fact("drained", gettext("Drained"), figures.about(figures.time_window(assessment.drained)))
    cup = assessment.cup_g
    yield Fact("cup", gettext("In the cup"), figures.about(figures.gram_span(cup.low, cup.high)))
    if assessment.strength is not None and promised.strength_low is None:
        strength = figures.percent_span(assessment.strength.low, assessment.strength.high)
        yield Fact("strength", gettext("Strength"), figures.about(strength), gettext("of the finished cup"))
    if assessment.extraction is not None and promised.extraction is None:
        extraction = figures.percent_span(assessment.extraction.low, assessment.extraction.high, 0)
        yield Fact("extraction", gettext("Extraction"), figures.about(extraction), gettext("of the dose"))
    hottest = figures.about(figures.celsius(round(assessment.slurry_peak_c)))
    yield Fact("slurry", gettext("Hottest"), hottest, gettext("water and coffee together, in the brewer"))


def bypass(assessment: Assessment, figures: Figures) -> Iterator[Fact]:
    """Strength of the cup after so much water has been added to it."""
    for point in assessment.bypass:
        added = gettext("+ %(mass)s") % {"mass": figures.grams(point.added_g)}
        yield Fact(f"bypass_{point.added_g:.0f}", added, figures.about(figures.percent(point.strength.likely)))


def grinders(settings: tuple[GrinderSetting, ...], figures: Figures) -> Iterator[Fact]:
    """Where to begin on each grinder, with the size its setting really lands on."""
    for setting in settings:
        yield Fact(
            f"grinder_{setting.slug}",
            setting.grinder,
            f"{setting.setting_word} {figures.number(setting.setting, 2)}",
            gettext("lands on %(size)s") % {"size": figures.micrometres(setting.landed_um)},
        )


def rests_on(window: Window | None) -> str:
    """Say on how many trial brews a prediction stands."""
    if window is None:
        return ""
    if window.trials == 0:
        return gettext("No trial brews of this coffee yet: the figures marked “about” rest on the model alone.")
    return ngettext(
        "The figures marked “about” rest on %(n)d trial brew of this coffee.",
        "The figures marked “about” rest on %(n)d trial brews of this coffee.",
        window.trials,
    ) % {"n": window.trials}


def grind_word(grind_um: float) -> str:
    """Name a grind in a novice's words; the bands are our own."""
    return {
        Word.VERY_FINE: pgettext("grind", "very fine"),
        Word.FINE: pgettext("grind", "fine"),
        Word.MEDIUM_FINE: pgettext("grind", "medium-fine"),
        Word.MEDIUM: pgettext("grind", "medium"),
        Word.MEDIUM_COARSE: pgettext("grind", "medium-coarse"),
        Word.COARSE: pgettext("grind", "coarse"),
        Word.VERY_COARSE: pgettext("grind", "very coarse"),
    }[word_for(grind_um)]
