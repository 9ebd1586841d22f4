"""Check brews of published guides that drained outside their guide's window, and that nobody has answered.

An answer is a guide held or pinned for the lot, a newer revision, a check brew that came after, or a stated reason to
keep the guide as it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.db.models import F, OuterRef, Q, Subquery
from django.db.models.fields.json import KeyTextTransform, KeyTransform

from guides.calculations.validity import Window
from guides.choices import Follow, State, Verb
from guides.models import Assignment, Event, TrialBrew

from .versions import has_newer

AS_WRITTEN: Final = ("dose_g", "water_g", "kettle_c", "grind_um")
"""What a brew has in common with its guide if it was made as that is written."""


@dataclass(frozen=True)
class Misfit:
    """A brew with its lot and version, when it had drained, and the window that it missed; both in clock seconds."""

    brew: TrialBrew
    drained_s: int
    window: Window


def waiting() -> list[Misfit]:
    """Give those that wait for an answer, latest first, in two queries whatever their number."""
    missed = [found for found in _judged() if found.drained_s not in found.window]
    kept = _kept(missed)
    return [found for found in missed if found.brew.pk not in kept]


def kept(brew: TrialBrew) -> Event | None:
    """Give why a guide was kept for a lot although this brew missed its window, if somebody wrote that down."""
    events = Event.objects.filter(lot=brew.lot_id, verb=Verb.KEPT_GUIDE).select_related("by")
    return next((event for event in events if event.details.get("trial") == brew.pk), None)


def _judged() -> list[Misfit]:
    """The last check brew of each lot and guide that was made as written, inside its window or not."""
    same = {name: F(f"version__{name}") for name in AS_WRITTEN}
    shown = Assignment.objects.filter(lot=OuterRef("lot"), guide=OuterRef("version__guide"))
    brews = (
        TrialBrew.objects.filter(is_check_brew=True, set_aside_at__isnull=True, drained_s__isnull=False, **same)
        .filter(lot__recalled_at__isnull=True, version__state=State.PUBLISHED)
        .exclude(has_newer("version__guide", "version__revision"))
        .annotate(follow=Subquery(shown.values("follow")[:1]), pinned=Subquery(shown.values("pinned")[:1]))
        .filter(Q(follow__isnull=True) | Q(follow=Follow.NEWEST) | Q(follow=Follow.PINNED, pinned=F("version")))
        .annotate(low_s=_end("low"), likely_s=_end("likely"), high_s=_end("high"))
        .filter(high_s__isnull=False)
        .select_related("lot", "version__guide")
        .defer("version__snapshot", "planned", "predicted")
    )
    last: dict[tuple[int, int | None], Misfit] = {}
    for brew in brews.order_by("-brewed_at", "-pk"):
        window = Window(float(brew.low_s), float(brew.likely_s), float(brew.high_s), 0)
        last.setdefault((brew.lot_id, brew.version_id), Misfit(brew, brew.drained_s or 0, window))
    return list(last.values())


def _end(name: str) -> KeyTextTransform:
    return KeyTextTransform(name, KeyTransform("drained", KeyTransform("assessment", "version__snapshot")))


def _kept(missed: Iterable[Misfit]) -> set[int]:
    lots = {found.brew.lot_id for found in missed}
    events = Event.objects.filter(lot__in=lots, verb=Verb.KEPT_GUIDE) if lots else Event.objects.none()
    return {event.details.get("trial", 0) for event in events}
