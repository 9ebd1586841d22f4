"""Coffee and water in the vessel, stepped forward in time: what is soaked up, what runs off, how hot, how long.

One lumped slurry: free water over a bed that soaks up its share, all at one temperature, well mixed in age. Flows are
of second order in time (Adams-Bashforth) and heat is mixed exactly, so that a step of 0.25 s is finer than need be.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, NamedTuple

from .constants import (
    DRAINED_BELOW_G,
    DRY_BED_ML_PER_G,
    GRAVITY_M_S2,
    KETTLE_COOLING_S,
    SLURRY_LOSS_W_K,
    UPTAKE_BEFORE_DRIP,
    UPTAKE_S,
    WATER_HEAT_J_G_K,
    WET_BED_ML_PER_G,
)
from .phases import Phase
from .water_properties import density_kg_m3, viscosity_pa_s

_HEAT: Final = WATER_HEAT_J_G_K.value
_LOSS: Final = SLURRY_LOSS_W_K.value
_SCARCE: Final = DRAINED_BELOW_G.value
_POINT_S: Final = 1.0
_MOMENT_S: Final = 1e-9
_TRACE_G: Final = 0.01


def _fluidity(temp_c: float) -> float:
    """g/s of water per mm of head and 1/m3 of resistance (the mm and the kg of SI cancel)."""
    return density_kg_m3(temp_c) ** 2 * GRAVITY_M_S2.value / viscosity_pa_s(temp_c)


def _lines(temp_c: int) -> tuple[float, float, float, float]:
    """Volume of a gram in mL, and fluidity, as straight lines over one degree: reach at 0 degrees C, and slope."""
    low = min(temp_c, 99)
    ml, fluid = 1000 / density_kg_m3(low), _fluidity(low)
    ml_slope, fluid_slope = 1000 / density_kg_m3(low + 1) - ml, _fluidity(low + 1) - fluid
    return ml - low * ml_slope, ml_slope, fluid - low * fluid_slope, fluid_slope


_LINES: Final = tuple(_lines(temp_c) for temp_c in range(101))


class Point(NamedTuple):
    """The brew at one moment. ``cup_age_g_s`` is what has run off times how long it was with the coffee.

    A named tuple, since hundreds are made in a brew, at a third of the cost of a frozen dataclass.
    """

    time_s: float
    poured_g: float
    drained_g: float
    free_g: float
    absorbed_g: float
    level_mm: float
    flow_g_s: float
    slurry_c: float
    kettle_c: float
    cup_age_g_s: float = 0.0


@dataclass(frozen=True)
class Bench:
    """What does not change during a brew: coffee, vessel, kettle and room.

    ``takes_up_g`` is the water the grounds end up holding, ``solid_j_k`` the heat capacity of coffee and brewer,
    ``level_mm`` the vessel's level for a volume in mL.
    """

    dose_g: float
    takes_up_g: float
    resistance_per_m3: float
    level_mm: Callable[[float], float]
    solid_j_k: float
    kettle_c: float
    room_c: float

    def kettle_now_c(self, time_s: float) -> float:
        """Give what the kettle reads, off the heat since the start."""
        return self.room_c + (self.kettle_c - self.room_c) * math.exp(-time_s / KETTLE_COOLING_S.value)

    def arriving_c(self, time_s: float, stream_loss_c: float) -> float:
        """Give how warm water reaches the bed: the stream cools on its way, but not below the room."""
        kettle_c = self.kettle_now_c(time_s)
        return max(kettle_c - stream_loss_c, min(kettle_c, self.room_c))

    @cached_property
    def dry_ml(self) -> float:
        """What the dry bed displaces."""
        return DRY_BED_ML_PER_G.value * self.dose_g

    @cached_property
    def swell_ml_g(self) -> float:
        """How much the bed grows with each gram it soaks up, until it is the wet bed."""
        return (WET_BED_ML_PER_G.value * self.dose_g - self.dry_ml) / self.takes_up_g


@dataclass(slots=True)
class Slurry:
    """The brew so far.

    ``age_g_s`` is the free water times its mean age, ``cup_age_g_s`` the same of all that ran off. ``soaked_s`` is
    when the grounds held enough for the rest to drip, ``drained_s`` when free water last ran out with nothing poured.
    """

    slurry_c: float
    time_s: float = 0.0
    poured_g: float = 0.0
    free_g: float = 0.0
    absorbed_g: float = 0.0
    drained_g: float = 0.0
    age_g_s: float = 0.0
    cup_age_g_s: float = 0.0
    flow_g_s: float = 0.0
    soaked_s: float | None = None
    drained_s: float | None = None
    points: list[Point] = field(default_factory=list)

    def note(self, bench: Bench) -> None:
        """Write the present moment down."""
        ml, ml_slope, _, _ = _LINES[int(self.slurry_c)]
        volume_ml = self.free_g * (ml + ml_slope * self.slurry_c) + bench.dry_ml + bench.swell_ml_g * self.absorbed_g
        self.points.append(
            Point(
                self.time_s,
                self.poured_g,
                self.drained_g,
                self.free_g,
                self.absorbed_g,
                bench.level_mm(volume_ml),
                self.flow_g_s,
                self.slurry_c,
                bench.kettle_now_c(self.time_s),
                self.cup_age_g_s,
            )
        )

    def pour_at_once(self, grams: float, arriving_c: float, bench: Bench) -> None:
        """Put water in all at once, mixed."""
        held = _HEAT * (self.free_g + self.absorbed_g) + bench.solid_j_k
        self.slurry_c = (held * self.slurry_c + _HEAT * grams * arriving_c) / (held + _HEAT * grams)
        self.poured_g += grams
        self.free_g += grams
        self.drained_s = None

    def decant(self, grams: float, lasts_s: float) -> None:
        """Pour free water off evenly; half of the time it takes is contact for it."""
        age_s = self.age_g_s / self.free_g if self.free_g else 0.0
        self.cup_age_g_s += grams * (age_s + lasts_s / 2)
        self.age_g_s = (self.free_g - grams) * (age_s + lasts_s)
        self.free_g -= grams
        self.drained_g += grams
        self.time_s += lasts_s
        self.drained_s = self.time_s


def advance(slurry: Slurry, bench: Bench, phase: Phase, step_s: float) -> None:
    """Step a brew through a phase, writing it down about once a second and at its end."""
    if phase.pour_g_s:
        slurry.drained_s = None
    while (span := phase.until_s - slurry.time_s) > _MOMENT_S:  # again where the bed soaks through or drains
        steps = math.ceil(span / step_s - _MOMENT_S)
        _march(slurry, bench, phase, span / steps, steps)
        if phase.ends_when_drained and (slurry.drained_s is not None or _held_by_grounds(slurry)):
            return


def _held_by_grounds(slurry: Slurry) -> bool:
    return slurry.soaked_s is None and slurry.free_g < _TRACE_G


def _march(slurry: Slurry, bench: Bench, phase: Phase, h: float, steps: int) -> None:
    """Take steps of ``h`` seconds; stop at the moment the bed soaks through or has drained: no step straddles it.

    The one loop that must be quick: what it reads is a local name, and the slurry is written back once a point.
    """
    start_s, poured_g = slurry.time_s, slurry.poured_g
    free, absorbed, drained = slurry.free_g, slurry.absorbed_g, slurry.drained_g
    temp, age, cup_age = slurry.slurry_c, slurry.age_g_s, slurry.cup_age_g_s
    capacity, level_mm, solid, room = bench.takes_up_g, bench.level_mm, bench.solid_j_k, bench.room_c
    dry_ml, swell_ml_g, conductance = bench.dry_ml, bench.swell_ml_g, 1 / bench.resistance_per_m3
    runs, soaks = phase.is_open and slurry.soaked_s is not None, math.inf
    if slurry.soaked_s is None:
        soaks = UPTAKE_BEFORE_DRIP.value * capacity
    now, before, uptake_per_s = 1.5 * h, 0.5 * h, 1 / UPTAKE_S.value
    took, added, flow, per_point = h, phase.pour_g_s * h, 0.0, max(round(_POINT_S / h), 1)
    old_flow = old_uptake = -1.0  # none yet: the first step is Euler's
    drains = runs and not phase.pour_g_s and slurry.drained_s is None
    done, cut, soaked, dry = 0, 1.0, False, False
    while done < steps and not soaked and not dry:
        count = min(per_point, steps - done)
        arriving = bench.arriving_c(slurry.time_s + 0.5 * count * h, phase.stream_loss_c)
        for _ in range(count):
            share = free / _SCARCE if free < _SCARCE else 1.0
            uptake = share * (capacity - absorbed) * uptake_per_s
            if runs:
                ml, ml_slope, fluid, fluid_slope = _LINES[int(temp)]
                level = level_mm(free * (ml + ml_slope * temp) + dry_ml + swell_ml_g * absorbed)
                flow = share * conductance * level * (fluid + fluid_slope * temp)
            if old_uptake < 0.0:
                old_flow, old_uptake = flow, uptake
            off, up = now * flow - before * old_flow, now * uptake - before * old_uptake
            old_flow, old_uptake = flow, uptake
            gone, have = off + up, free + added
            if share < 1.0 or gone > have:  # it may empty within the step, no more
                off, up = max(off, 0.0), max(up, 0.0)
                fits = min(have / (off + up), 1.0) if off + up > 0.0 else 1.0
                off, up = off * fits, up * fits
                gone = off + up
            if absorbed + up >= soaks:
                cut, soaked = (soaks - absorbed) / up, True
            elif drains and have - gone < _SCARCE:
                cut, dry = max(free - _SCARCE, 0.0) / max(gone, _TRACE_G), True
            if cut < 1.0:
                off, up, gone, added, took = off * cut, up * cut, gone * cut, added * cut, took * cut
                have = free + added
            heat, hot = _HEAT * (free + absorbed) + solid, _HEAT * added
            temp = (heat * temp + hot * arriving - _LOSS * took * (temp - room)) / (heat + hot)
            absorbed, drained, done = absorbed + up, drained + off, done + 1
            aged = took * 0.25 * (free + have - gone)
            free = have - gone
            mixed = have - 0.5 * added  # half of what is poured is there on average
            if mixed < gone:
                mixed = gone
            age += aged
            if mixed > 0.0:
                cup_age += age * off / mixed
                age -= age * gone / mixed
            age += aged
            if soaked or dry:
                break
        time = start_s + (done - 1) * h + took
        slurry.time_s = phase.until_s if abs(phase.until_s - time) < _MOMENT_S else time  # no drift from sums
        slurry.poured_g = poured_g + phase.pour_g_s * (slurry.time_s - start_s)
        slurry.free_g, slurry.absorbed_g, slurry.drained_g, slurry.flow_g_s = free, absorbed, drained, flow
        slurry.slurry_c, slurry.age_g_s, slurry.cup_age_g_s = temp, age, cup_age
        slurry.note(bench)
    if soaked:
        slurry.soaked_s = slurry.time_s
    if dry:
        slurry.drained_s = slurry.time_s
