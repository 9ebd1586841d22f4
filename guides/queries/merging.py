"""What goes along when a coffee becomes part of another, and what is in the way."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from guides.choices import RunState, State
from guides.models import Address, Coffee, GuideVersion, PackingRun, Question, Tasting, TrialBrew


@dataclass(frozen=True)
class Moving:
    """Names of lots and titles of guides in their order, and how many of the rest."""

    lots: tuple[str, ...]
    guides: tuple[str, ...]
    codes: int
    published: int
    trial_brews: int
    tastings: int
    questions: int


def moving(coffee: Coffee) -> Moving:
    """Say what belongs to a coffee, through its lots and guides."""
    newest: dict[int, str] = {}
    for version in GuideVersion.objects.filter(guide__coffee=coffee).order_by("guide__number", "-pk"):
        newest.setdefault(version.guide_id, version.title)
    asked = Question.objects.filter(Q(lot__coffee=coffee) | Q(version__guide__coffee=coffee))
    return Moving(
        lots=tuple(coffee.lots.order_by("name").values_list("name", flat=True)),
        guides=tuple(newest.values()),
        codes=Address.objects.filter(lot__coffee=coffee).count(),
        published=GuideVersion.objects.filter(guide__coffee=coffee, revision__isnull=False).count(),
        trial_brews=TrialBrew.objects.filter(lot__coffee=coffee).count(),
        tastings=_tasted(coffee).count(),
        questions=asked.distinct().count(),
    )


def open_tastings(coffee: Coffee) -> QuerySet[Tasting]:
    """Give the blind tastings with a cup of it that are not told yet."""
    return _tasted(coffee).filter(revealed_at__isnull=True)


def in_review(coffee: Coffee) -> QuerySet[GuideVersion]:
    """Give its guides that somebody is looking over, by title."""
    return GuideVersion.objects.filter(guide__coffee=coffee, state=State.IN_REVIEW).order_by("title")


def being_made(coffee: Coffee) -> QuerySet[PackingRun]:
    """Give the packing runs of its lots whose paper is being made."""
    return PackingRun.objects.filter(lot__coffee=coffee, state=RunState.MAKING).select_related("lot").order_by("pk")


def _tasted(coffee: Coffee) -> QuerySet[Tasting]:
    poured = Q(cups__lot__coffee=coffee) | Q(cups__trial_brew__lot__coffee=coffee)
    return Tasting.objects.filter(poured).distinct().order_by("opened_at")
