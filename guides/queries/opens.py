"""How often guides were opened of late."""

from __future__ import annotations

import datetime
from typing import Final

from django.db.models import CharField, Count, IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from guides.choices import Opened, State
from guides.models import Guide, GuideOpens, GuideVersion, Question

DAYS: Final = 28


def most_opened(today: datetime.date) -> QuerySet[Guide]:
    """Give the guides opened in the last four weeks, most opened first.

    Each has ``opened`` and ``brewing``, both "at least", the number of questions ``asked`` about it, and ``title`` of
    its newest published version.
    """
    newest = GuideVersion.objects.filter(guide=OuterRef("pk"), state=State.PUBLISHED).order_by("-revision")
    return (
        Guide.objects.annotate(
            opened=times(Opened.PAGE, today),
            brewing=times(Opened.BREWING, today),
            asked=_questions(today),
            title=Coalesce(Subquery(newest.values("title")[:1]), "slug", output_field=CharField()),
        )
        .filter(opened__gt=0)
        .order_by("-opened", "number")
    )


def _questions(today: datetime.date) -> Coalesce:
    since = today - datetime.timedelta(days=DAYS)
    about = Question.objects.filter(version__guide=OuterRef("pk"), asked_at__date__gt=since).order_by()
    counted = about.values("version__guide").annotate(total=Count("pk")).values("total")
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)


def times(what: Opened, today: datetime.date) -> Coalesce:
    """How often the guide of the row asked about was opened in the last four weeks; 0 for never."""
    since = today - datetime.timedelta(days=DAYS - 1)
    of_guide = GuideOpens.objects.filter(guide=OuterRef("pk"), what=what, day__gte=since, day__lte=today)
    summed = of_guide.order_by().values("guide").annotate(total=Sum("times")).values("total")
    return Coalesce(Subquery(summed, output_field=IntegerField()), 0)
