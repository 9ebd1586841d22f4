"""A brewer cut through the middle: its wall, and where grounds and water stand at a moment. For the drawings."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from .assessment import CoursePoint
from .phases import is_open_at
from .plan import Plan
from .timeline import StepTime, on_the_clock
from .validity import check_range
from .vessel import Brewer, Cone, Cylinder, LevelTable, Shape, check_shape, gauge, volume_ml
from .water_properties import density_kg_m3


@dataclass(frozen=True)
class Standing:
    """One moment of a brew: heights above the outlet in mm, and whether liquid can run off."""

    time_s: float
    water_mm: float
    bed_mm: float
    is_open: bool


def wall(shape: Shape, height_mm: float) -> tuple[tuple[float, float], ...]:
    """Give the inner wall of a vessel as a line from the outlet upward.

    A weighed vessel is as wide, in the middle between two weighings, as its volume over its height there.

    Args:
        shape: cone, cylinder or level table.
        height_mm: where the line ends, above the outlet, in mm.

    Returns:
        Height above the outlet and radius, both in mm, rising.

    Raises:
        OutOfRange: an impossible shape, or no height.

    Valid range: heights above 0 to 1000 mm.
    Source: geometry.

    >>> [(height, round(radius, 1)) for height, radius in wall(Cone(30, 10), 90)]
    [(0.0, 10), (90, 62.0)]
    """
    check_range("height_mm", height_mm, above=0, high=1000, reason="a vessel has a wall")
    match check_shape(shape):
        case Cone(half_angle_deg, outlet_radius_mm):
            return (
                (0.0, outlet_radius_mm),
                (height_mm, outlet_radius_mm + height_mm * math.tan(math.radians(half_angle_deg))),
            )
        case Cylinder(radius_mm):
            return (0.0, radius_mm), (height_mm, radius_mm)
        case LevelTable(levels_mm, volumes_ml):
            weighed = zip(pairwise(levels_mm), pairwise(volumes_ml), strict=True)
            middles = [
                ((low + high) / 2, math.sqrt((more - less) * 1000 / (high - low) / math.pi))
                for (low, high), (less, more) in weighed
            ]
            below = [middle for middle in middles if middle[0] < height_mm]
            return (0.0, middles[0][1]), *below, (height_mm, (below or middles)[-1][1])


def usable_mm(brewer: Brewer) -> float:
    """Give how high a brewer's usable line stands.

    Args:
        brewer: the vessel.

    Returns:
        Height above the outlet in mm.

    Raises:
        OutOfRange: an impossible shape.

    Valid range: any brewer; past a level table's last point its last slope goes on.
    Source: geometry.

    >>> from .vessel import Flow
    >>> round(usable_mm(Brewer(Cylinder(45), 900, 150, Flow.CLOSED)), 1)
    141.5
    """
    return max(gauge(brewer.shape)(brewer.usable_ml), 0.0)


def standing_at(plan: Plan, times: tuple[StepTime, ...], course: Sequence[CoursePoint], time_s: float) -> Standing:
    """Give where water and grounds stand at a moment of a simulated brew.

    The grounds take what is not free water, so that they swell from the dry bed to the wet one.

    Args:
        plan: the brew.
        times: clock seconds of its steps.
        course: the simulated brew, rising in time.
        time_s: clock seconds; before and after the course its first and last point hold.

    Returns:
        Heights of water and grounds, straight between two points of the course, and the way out.

    Raises:
        OutOfRange: an impossible shape.

    Valid range: a course of one point and more.
    Source: the simulation (level, free water); iapws-97 (density).

    >>> from .vessel import Flow
    >>> cone = Brewer(Cylinder(40), 500, 60, Flow.OPEN)
    >>> course = (CoursePoint(0, 0, 0, 0, 3, 0, 30, 92), CoursePoint(10, 60, 0, 60, 15, 0, 80, 92))
    >>> standing_at(Plan(15, 240, 93, 700, cone, ()), (), course, 5).water_mm
    9.0
    """
    after = min(max(bisect_right(course, time_s, key=lambda point: point.time_s), 1), len(course) - 1)
    first, last = course[after - 1], course[after]
    span = last.time_s - first.time_s
    share = min(max((time_s - first.time_s) / span, 0.0), 1.0) if span > 0 else 0.0
    water, bed = (
        low + share * (high - low)
        for low, high in (
            (first.level_mm, last.level_mm),
            (_bed_mm(plan.brewer.shape, first), _bed_mm(plan.brewer.shape, last)),
        )
    )
    return Standing(time_s, water, bed, is_open_at(on_the_clock(plan, times), time_s))


def standings(
    plan: Plan, times: tuple[StepTime, ...], course: Sequence[CoursePoint], every_s: float = 2.0
) -> tuple[Standing, ...]:
    """Give where water and grounds stand all through a simulated brew.

    Args:
        plan: the brew.
        times: clock seconds of its steps.
        course: the simulated brew, rising in time.
        every_s: seconds between two moments.

    Returns:
        One moment every so many seconds, from the start, and the last.

    Raises:
        OutOfRange: an impossible shape, or no time between moments.

    Valid range: 0.5 to 60 s between moments.
    Source: the simulation.

    >>> from .vessel import Flow
    >>> cone = Brewer(Cylinder(40), 500, 60, Flow.OPEN)
    >>> course = (CoursePoint(0, 0, 0, 0, 3, 0, 30, 92), CoursePoint(10, 60, 0, 60, 15, 0, 80, 92))
    >>> [moment.time_s for moment in standings(Plan(15, 240, 93, 700, cone, ()), (), course, 4)]
    [0, 4, 8, 10.0]
    """
    check_range("every_s", every_s, low=0.5, high=60, reason="moments of a brew that is followed by eye")
    if not course:
        return ()
    end_s = float(course[-1].time_s)
    moments = [index * every_s for index in range(math.ceil(end_s / every_s))] + [end_s]
    return tuple(standing_at(plan, times, course, moment) for moment in moments)


def _bed_mm(shape: Shape, point: CoursePoint) -> float:
    top_mm = shape.levels_mm[-1] if isinstance(shape, LevelTable) else math.inf
    held_ml = volume_ml(shape, min(max(point.level_mm, 0.0), top_mm))
    free_ml = point.free_g / density_kg_m3(point.slurry_c) * 1000
    return max(gauge(shape)(max(held_ml - free_ml, 0.0)), 0.0)
