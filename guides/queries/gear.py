"""The roastery's brewers and grinders, as readers may choose them."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.models import Brewer, Grinder


def brewers() -> QuerySet[Brewer]:
    """Give every brewer with its vessel, by name."""
    return Brewer.objects.select_related("vessel", "valve_base", "paper")


def grinders() -> QuerySet[Grinder]:
    """Give every grinder with its points, by name."""
    return Grinder.objects.prefetch_related("points")


def choices() -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Give address word and name of every brewer, and of every grinder."""
    return (
        list(Brewer.objects.values_list("slug", "name")),
        list(Grinder.objects.values_list("slug", "name")),
    )
