"""A trial that is about to be brewed as the same data that a guide is, so that the same page brews both."""

from __future__ import annotations

from guides.calculations.constants import CALCULATION_VERSION

from . import snapshot
from .assessing import assess_plan
from .grinder_table import settings_for
from .snapshot import FORMAT, GuideNames, Snapshot, StepWords, Words
from .trial_plan import Intention


def of(intention: Intention, *, title: str, language: str) -> Snapshot:
    """Give a trial as data; words of the version it follows where that has the same steps.

    Args:
        intention: what is about to be brewed.
        title: what the page is headed with.
        language: of the title, and of words where there are none.

    Raises:
        OutOfRange: a number that no brew has.
    """
    plan, coffee, version = intention.plan, intention.lot.coffee, intention.version
    words = {language: Words(title, "", "", "", (StepWords(),) * len(plan.steps))}
    spoken = language
    if version is not None and version.steps.count() == len(plan.steps):
        words, spoken = dict(snapshot.words_of(version)), version.language
    return Snapshot(
        format=FORMAT,
        calculation_version=CALCULATION_VERSION,
        guide=GuideNames(0, "", coffee.name, coffee.slug, coffee.origin, coffee.process, coffee.roast_level),
        revision=None,
        published_at=None,
        brewer=snapshot.brewer_names(intention.brewer),
        plan=plan,
        targets=intention.targets,
        server_ml=None,
        conditions=intention.conditions,
        assessment=assess_plan(plan, intention.conditions, intention.targets),
        grinders=settings_for(plan.grind_um),
        language=spoken,
        words=words,
        change_note="",
    )
