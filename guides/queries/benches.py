"""Which coffees were brewed in which brewers, and how often."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, Max

from guides.models import TrialBrew


def pairs() -> list[dict[str, Any]]:
    """Give each coffee and brewer with a trial brew: keys, names, ``brews`` and the ``last`` of them, latest first."""
    found = TrialBrew.objects.order_by().values("lot__coffee", "lot__coffee__name", "brewer", "brewer__name")
    counted = found.annotate(brews=Count("pk"), last=Max("brewed_at")).order_by("-last")
    return [
        {
            "coffee": row["lot__coffee"],
            "coffee_name": row["lot__coffee__name"],
            "brewer": row["brewer"],
            "brewer_name": row["brewer__name"],
            "brews": row["brews"],
            "last": row["last"],
        }
        for row in counted
    ]
