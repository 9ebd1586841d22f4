"""What is written down while a brew is simulated: a point a second, and the moments a guide speaks of."""

from __future__ import annotations

from dataclasses import dataclass, field

from .constants import A_DROP_G, DRIP_FALLS_S, FIRST_CONTACT_G
from .slurry import Bench, Slurry


@dataclass(frozen=True)
class Point:
    """The brew at one moment."""

    time_s: float
    poured_g: float
    drained_g: float
    free_g: float
    absorbed_g: float
    level_mm: float
    flow_g_s: float
    slurry_c: float
    kettle_c: float


@dataclass(slots=True)
class CourseLog:
    """The log of one brew. ``limit_g`` is the most water the vessel holds at once."""

    bench: Bench
    limit_g: float
    points: list[Point] = field(default_factory=list)
    peak_level_mm: float = 0.0
    peak_s: float = 0.0
    first_drip_s: float | None = None
    first_contact_s: float | None = None
    overflow_s: float | None = None
    cup_age_before_g_s: float = 0.0

    def record(self, slurry: Slurry) -> None:
        """Write down the present, and what was crossed since the last point."""
        point = Point(
            slurry.time_s,
            slurry.poured_g,
            slurry.drained_g,
            slurry.free_g,
            slurry.absorbed_g,
            slurry.level_mm(self.bench),
            slurry.flow_g_s,
            slurry.slurry_c,
            self.bench.kettle_now_c(slurry.time_s),
        )
        before = self.points[-1] if self.points else point
        self.points.append(point)
        if point.level_mm > self.peak_level_mm:
            self.peak_level_mm, self.peak_s = point.level_mm, point.time_s
        if self.first_drip_s is None and point.drained_g >= A_DROP_G.value:
            share = _share(before.drained_g, A_DROP_G.value, point.drained_g)
            self.first_drip_s = before.time_s + share * (point.time_s - before.time_s) + DRIP_FALLS_S.value
        if self.first_contact_s is None and point.drained_g >= FIRST_CONTACT_G.value:
            share = _share(before.drained_g, FIRST_CONTACT_G.value, point.drained_g)
            age = self.cup_age_before_g_s + share * (slurry.cup_age_g_s - self.cup_age_before_g_s)
            self.first_contact_s = age / FIRST_CONTACT_G.value
        self.cup_age_before_g_s = slurry.cup_age_g_s
        held, held_before = point.free_g + point.absorbed_g, before.free_g + before.absorbed_g
        if self.overflow_s is None and held > self.limit_g:
            share = _share(held_before, self.limit_g, held)
            self.overflow_s = before.time_s + share * (point.time_s - before.time_s)


def _share(before: float, crossed: float, after: float) -> float:
    """How far between two points a value was crossed, 0 to 1."""
    return (crossed - before) / (after - before) if after > before else 0.0
