"""One up, one down: from green coffee to its roasts, the lots filled from them, and where their bags went."""

from __future__ import annotations

from typing import Final

from django.db.models import Prefetch, QuerySet

from guides.choices import RunState
from guides.models import Dispatch, GreenLot, Lot, LotPart, PackingRun, Roast

_PRINTED: Final = PackingRun.objects.filter(state__in=[RunState.READY, RunState.COUNTED]).select_related("version")


def lots_holding(origin: GreenLot | Roast) -> QuerySet[Lot]:
    """Give every packed lot that holds some of a green lot or a roast, by name."""
    roasts = {"roast": origin} if isinstance(origin, Roast) else {"roast__green_lot": origin}
    return Lot.objects.filter(pk__in=LotPart.objects.filter(**roasts).values("lot")).order_by("name")


def roasts_of(origin: GreenLot | Roast | Lot) -> list[Roast]:
    """Give the roasts that belong to a trace begun anywhere, with all their parts; by day and name."""
    if isinstance(origin, Roast):
        found = Roast.objects.filter(pk=origin.pk)
    elif isinstance(origin, GreenLot):
        found = Roast.objects.filter(green_lot=origin)
    else:
        found = Roast.objects.filter(parts__lot=origin)
    parts = LotPart.objects.select_related("lot").prefetch_related("lot__parts").order_by("lot__name")
    roasts = found.select_related("green_lot").prefetch_related(Prefetch("parts", parts))
    return list(roasts.order_by("roasted_on", "name"))


def lots_of(origin: GreenLot | Roast | Lot) -> list[Lot]:
    """Give the packed lots of a trace with all their parts and where their bags went, by name."""
    found = Lot.objects.filter(pk=origin.pk) if isinstance(origin, Lot) else lots_holding(origin)
    return list(
        found.select_related("coffee", "recalled_by").prefetch_related(
            Prefetch("parts", LotPart.objects.select_related("roast__green_lot").order_by("roast__name")),
            Prefetch("packing_runs", _PRINTED.order_by("ordered_at", "pk")),
            Prefetch("dispatches", Dispatch.objects.order_by("outlet", "place", "on", "pk")),
        )
    )


def green_lots_of(roasts: list[Roast]) -> list[GreenLot]:
    """Give the green lots of roasts with everything that was roasted from them, by name."""
    keys = {roast.green_lot_id for roast in roasts}
    return list(GreenLot.objects.filter(pk__in=keys).prefetch_related("roasts").order_by("name"))
