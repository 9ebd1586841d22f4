"""What a list that has grown long offers first: what people work with these days."""

from __future__ import annotations

from typing import Any

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from guides.choices import OPEN_STATES, State
from guides.models import Coffee, GuideVersion, Lot

from .versions import has_newer


def offered(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Give rows as they are offered, newest first: of guides what is published or being written, no merged coffee."""
    if rows.model is Coffee:
        rows = rows.filter(merged_into=None)
    return newest_first(rows.filter(_stands()) if rows.model is GuideVersion else rows)


def newest_first(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Put first what was roasted or written last."""
    if rows.model is Lot:
        return rows.order_by("-roasted_on", "-pk")
    if rows.model is Coffee:
        newest = Lot.objects.filter(coffee=OuterRef("pk")).order_by("-roasted_on").values("roasted_on")[:1]
        # A coffee without a lot is about to get its first.
        return rows.alias(roasted=Subquery(newest)).order_by(F("roasted").desc(nulls_first=True), "name")
    return rows.order_by("-pk")


def _stands() -> Q:
    return Q(state__in=OPEN_STATES) | Q(~has_newer("guide", "revision"), state=State.PUBLISHED)
