"""Guides that are not fully translated. The database says which; ``translating.py`` counts what is left of one."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    When,
)
from django.db.models.fields.json import KT
from django.db.models.functions import Coalesce

from guides.choices import OPEN_STATES, State
from guides.models import GuideVersion, Step, StepText, VersionText

from .versions import has_newer


def versions(languages: Sequence[str]) -> QuerySet[GuideVersion]:
    """Give, of every guide that is published or in review, the version to go on with if it lacks words in a language.

    That is its open draft, else its newest revision. Each comes with its words alone.
    """
    others = Case(When(language__in=languages, then=len(languages) - 1), default=len(languages))
    steps = Step.objects.filter(_has_words(StepText), version=OuterRef("pk"))
    steps = steps.alias(whole=_whole(StepText, "step", "step__version__language", languages))
    found = _to_go_on_with().alias(others=others, whole=_whole(VersionText, "version", "version__language", languages))
    lacking = Q(_has_words(VersionText), whole__lt=F("others")) | Q(Exists(steps.filter(whole__lt=OuterRef("others"))))
    words = Step.objects.only("version", "position", *StepText.TEXTS).prefetch_related("texts")
    narrow = found.filter(lacking).only("guide", "language", *VersionText.TEXTS).order_by("guide__number")
    return narrow.prefetch_related("texts", Prefetch("steps", words))


def _to_go_on_with() -> QuerySet[GuideVersion]:
    of_guide = GuideVersion.objects.filter(guide=OuterRef("guide"))
    is_published = Exists(of_guide.filter(state=State.PUBLISHED))
    is_open = Exists(of_guide.filter(state__in=OPEN_STATES))
    return GuideVersion.objects.filter(
        Q(state=State.IN_REVIEW)
        | Q(is_published, state=State.DRAFT)
        | Q(~is_open, ~has_newer("guide", "revision"), state=State.PUBLISHED)
    )


def _whole(rows: type[VersionText] | type[StepText], of: str, own: str, languages: Sequence[str]) -> Coalesce:
    """In how many further languages every text is there, and made from the words there are now.

    As ``Translated.is_outdated`` has it: a text that does not say what it was made from was made from these.
    """
    translated = rows.objects.filter(**{of: OuterRef("pk")}, language__in=languages).exclude(language=F(own))
    for name in rows.TEXTS:
        source, made_from = f"{of}__{name}", f"from_{name}"
        translated = translated.alias(**{made_from: KT(f"made_from__{name}")}).filter(
            Q(**{source: ""}) | ~Q(**{name: ""}) & (Q(**{f"{made_from}__isnull": True}) | Q(**{made_from: F(source)}))
        )
    counted = translated.order_by().values(of).annotate(rows=Count("pk")).values("rows")
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)


def _has_words(rows: type[VersionText] | type[StepText]) -> Q:
    return ~Q(**dict.fromkeys(rows.TEXTS, ""))
