"""Coffee and water in the vessel, stepped forward in time: what is soaked up, what runs off, how hot, how long.

One lumped slurry: free water over a bed that soaks up its share, all at one temperature, well mixed in age. Flows are
of second order in time (Adams-Bashforth) and heat is mixed exactly, so that a step of 0.25 s is finer than need be.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

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

_TEMPS: Final = (*range(101), 100)
_ML_PER_G: Final = tuple(1000 / density_kg_m3(temp) for temp in _TEMPS)
_FLUIDITY: Final = tuple(density_kg_m3(temp) ** 2 * GRAVITY_M_S2.value / viscosity_pa_s(temp) for temp in _TEMPS)
"""g/s of water per mm of head and 1/m3 of resistance (the mm and the kg of SI cancel); read between whole degrees."""
_HEAT: Final = WATER_HEAT_J_G_K.value
_LOSS: Final = SLURRY_LOSS_W_K.value
_SCARCE: Final = DRAINED_BELOW_G.value
_UPTAKE_PER_S: Final = 1 / UPTAKE_S.value
_POINT_S: Final = 1.0
_TRACE_G: Final = 0.01


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
    rates: tuple[float, float] | None = None

    def level_mm(self, bench: Bench) -> float:
        """Give the level in the vessel, above the outlet."""
        return bench.level_mm(self.free_g * 1000 / density_kg_m3(self.slurry_c) + bed_ml(bench, self.absorbed_g))

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


def advance(slurry: Slurry, bench: Bench, phase: Phase, step_s: float, record: Callable[[], None]) -> None:
    """Step a brew through a phase, calling ``record`` about once a second and at its end."""
    if phase.pour_g_s:
        slurry.drained_s = None
    while (span := phase.until_s - slurry.time_s) > 1e-9:
        soaked_s, slurry.rates = slurry.soaked_s, None
        left = math.ceil(span / step_s - 1e-9)
        h = span / left
        per_point = max(round(_POINT_S / h), 1)
        while left and slurry.soaked_s == soaked_s:  # soaking through starts a new count: no step straddles it
            count = min(per_point, left)
            _march(slurry, bench, phase, h, count)
            left -= count
            if not left and slurry.soaked_s == soaked_s and not phase.ends_when_drained:
                slurry.time_s = phase.until_s  # sums of steps drift by a rounding error, a valve opens on the second
            record()
            if phase.ends_when_drained and (slurry.drained_s is not None or _held_by_grounds(slurry)):
                return


def _held_by_grounds(slurry: Slurry) -> bool:
    return slurry.soaked_s is None and slurry.free_g < _TRACE_G


def _march(slurry: Slurry, bench: Bench, phase: Phase, h: float, count: int) -> None:
    """Take ``count`` steps of ``h`` seconds; the last is cut short where the bed soaks through."""
    time, free, absorbed, drained = slurry.time_s, slurry.free_g, slurry.absorbed_g, slurry.drained_g
    temp, age, cup_age, rates = slurry.slurry_c, slurry.age_g_s, slurry.cup_age_g_s, slurry.rates
    capacity, level_mm, solid, room = bench.takes_up_g, bench.level_mm, bench.solid_j_k, bench.room_c
    dry_ml, swell = bed_ml(bench, 0.0), (bed_ml(bench, capacity) - bed_ml(bench, 0.0)) / capacity
    pour, arriving = phase.pour_g_s, bench.kettle_now_c(time) - phase.stream_loss_c
    runs, flow = phase.is_open and slurry.soaked_s is not None, 0.0
    gate = UPTAKE_BEFORE_DRIP.value * capacity if slurry.soaked_s is None else math.inf
    for _ in range(count):
        whole = int(temp)
        part = temp - whole
        share = free / _SCARCE if free < _SCARCE else 1.0
        uptake = share * (capacity - absorbed) * _UPTAKE_PER_S
        if runs:
            ml, fluid = _ML_PER_G[whole], _FLUIDITY[whole]
            ml += part * (_ML_PER_G[whole + 1] - ml)
            fluid += part * (_FLUIDITY[whole + 1] - fluid)
            flow = share * fluid * level_mm(free * ml + dry_ml + swell * absorbed) / bench.resistance_per_m3
        flow_before, uptake_before = rates or (flow, uptake)
        rates = (flow, uptake)
        off, up = h * (1.5 * flow - 0.5 * flow_before), h * (1.5 * uptake - 0.5 * uptake_before)
        before, added, took = free, h * pour, h
        if off < 0.0 or up < 0.0 or off + up > free + added:  # it runs dry within the step: it empties, no more
            off, up = max(off, 0.0), max(up, 0.0)
            fits = min((free + added) / (off + up), 1.0) if off + up > 0.0 else 1.0
            off, up = off * fits, up * fits
        if absorbed + up >= gate:
            cut = (gate - absorbed) / up
            off, up, added, took = off * cut, up * cut, added * cut, took * cut
            slurry.soaked_s = time + took
        held_j_k, added_j_k = _HEAT * (free + absorbed) + solid, _HEAT * added
        temp = (held_j_k * temp + added_j_k * arriving - _LOSS * took * (temp - room)) / (held_j_k + added_j_k)
        have = free + added
        free = have - off - up
        absorbed, drained, time = absorbed + up, drained + off, time + took
        if have > 0:
            age += took * (before + have) / 2
            cup_age += age * off / have
            age *= free / have
        if runs and free < _SCARCE and not pour and slurry.drained_s is None:
            slurry.drained_s = time - took * (_SCARCE - free) / max(before - free, _SCARCE - free)
            if phase.ends_when_drained:
                break
        if slurry.soaked_s is not None and gate < math.inf:
            break
    slurry.poured_g += pour * (time - slurry.time_s)
    slurry.time_s, slurry.free_g, slurry.absorbed_g, slurry.drained_g = time, free, absorbed, drained
    slurry.slurry_c, slurry.age_g_s, slurry.cup_age_g_s, slurry.flow_g_s, slurry.rates = temp, age, cup_age, flow, rates


def bed_ml(bench: Bench, absorbed_g: float) -> float:
    """Give the volume of the bed: it swells from what dry grounds displace to a soaked bed."""
    soaked = absorbed_g / bench.takes_up_g
    return bench.dose_g * (DRY_BED_ML_PER_G.value * (1 - soaked) + WET_BED_ML_PER_G.value * soaked)
