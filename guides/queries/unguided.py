"""Lots whose bags lead to no guide."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.choices import Follow
from guides.models import Assignment, Lot


def lots() -> QuerySet[Lot]:
    """Give lots that show no guide, newest first: none is assigned, or every one is held. Recalled ones need none."""
    return unserved(Lot.objects.filter(recalled_at__isnull=True)).select_related("coffee")


def unserved(among: QuerySet[Lot]) -> QuerySet[Lot]:
    """Keep the lots that show no guide."""
    return among.exclude(pk__in=Assignment.objects.exclude(follow=Follow.HELD).values("lot"))
