"""Customers' brews as a crowd: drained times by grinder beside the guide's window. Nothing says whose they are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext

from guides.calculations.crowd import Drained, Gathered, gather
from guides.lifecycle import snapshot
from guides.models import GuideVersion, HomeBrew

from .adapt_request import OWN
from .drawings.crowd import Dot, Row, crowd_drawing
from .numbers import Figures, clock


@dataclass(frozen=True)
class OfGrinder:
    """One grinder's brews in words and numbers."""

    name: str
    gathered: Gathered
    middle: str


@dataclass(frozen=True)
class Crowd:
    """A version and everybody who brewed it. ``other`` counts brews of another size, with windows of their own."""

    version: GuideVersion
    window: str
    grinders: tuple[OfGrinder, ...]
    other: int
    drawing: str


def of_version(version: GuideVersion, brews: Iterable[HomeBrew], names: Mapping[str, str], language: str) -> Crowd:
    """Gather the brews of a version, in the language that is active.

    Args:
        version: published.
        brews: with drained times.
        names: of the roastery's grinders, by address word.
        language: of numbers.
    """
    window = snapshot.read(version).assessment.drained
    written = None if window is None else (round(window.low), round(window.high))
    of: dict[str, list[HomeBrew]] = defaultdict(list)
    for brew in brews:
        of[_name(brew.grinder, names)].append(brew)
    rows, grinders, other = [], [], 0
    for name, theirs in sorted(of.items(), key=lambda each: (-len(each[1]), each[0])):
        dots = [Dot(brew.drained_s or 0, (brew.window_low_s, brew.window_high_s) == written) for brew in theirs]
        other += sum(not dot.as_written for dot in dots)
        rows.append(Row(name, tuple(dots)))
        gathered = gather([Drained(brew.drained_s or 0, brew.window_low_s, brew.window_high_s) for brew in theirs])
        grinders.append(OfGrinder(name, gathered, clock(gathered.middle_s)))
    return Crowd(
        version=version,
        window="" if window is None else Figures(language).time_window(window),
        grinders=tuple(grinders),
        other=other,
        drawing=crowd_drawing(rows, written, uid=f"crowd-{version.pk}"),
    )


def _name(grinder: str, names: Mapping[str, str]) -> str:
    if grinder == OWN:
        return gettext("a grinder of their own")
    return names.get(grinder, grinder) or gettext("grinder not said")
