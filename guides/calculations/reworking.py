"""A plan on its way from the guide's to the reader's: one wish after another, with what each changed and why."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from .adaptation import Change, Confidence, Request, Unmet
from .assessment import Conditions
from .changes import Reasons
from .constants import (
    ALKALINITY_HOLDS_MG_L,
    BREW_RATIO_LEAST,
    BYPASS_MOST_SHARE,
    DRAINED_HOLDS_S,
    GRIND_MOST_SHARE,
    GRIND_SHOWN_UM,
    LATER_PER_COOLER_S_K,
    SOFT_WATER_MG_L,
    TIME_WITH_DOSE,
)
from .dialing import COARSEST_UM, FINEST_UM, drained_s, grind_for_drained
from .filling import split_to_fit
from .freshness import GasLevel
from .grind import Setting, setting_for
from .plan import Action, Plan
from .retention import retention_window
from .rounding import five_grams, round_down, round_half_up, whole_grams
from .scaling import rounded
from .sizing import dose_wanted_g, for_gas, fullest_dose_g, resized
from .thermal import kettle_cap_c
from .validity import OutOfRange, check_range
from .vessel import Flow
from .water import TARGET, tap_share

_SAME_K = 0.5  # what a kettle shows


class Reworking:
    """The plan as far as it has come; ``reasons``, ``own`` changes and ``unmet`` wishes gather on the way."""

    def __init__(self, guide: Plan, request: Request, conditions: Conditions) -> None:
        self.guide = guide
        self.plan = guide
        self.request = request
        self.conditions = conditions
        self.reasons = Reasons()
        self.own: list[Change] = []
        self.unmet: list[Unmet] = []

    def take_brewer(self) -> None:
        """Put the plan into the reader's brewer, if its way of brewing allows."""
        brewer, written = self.request.brewer, self.guide.brewer
        if brewer is None or brewer == written:
            return
        if (brewer.flow is Flow.CLOSED) != (written.flow is Flow.CLOSED):
            self.miss("not_the_same_method")
        elif _uses_valve(self.guide) and brewer.flow is not Flow.VALVE:
            self.miss("no_valve")
        else:
            self.plan = replace(self.plan, brewer=brewer)
            self.reasons.because("usable_ml", "own_brewer")

    def guide_here(self) -> Plan:
        """The guide as written, in the brewer the plan is in by now."""
        return replace(self.guide, brewer=self.plan.brewer)

    def miss(self, code: str, numbers: Mapping[str, float] | None = None) -> None:
        """Note a wish that cannot be honoured; the last word on each stands."""
        self.unmet = [unmet for unmet in self.unmet if unmet.code != code] + [Unmet(code, numbers or {})]

    def take_size(self, reason: str) -> None:
        """Scale to the dose the reader's wish comes to."""
        self.plan = resized(self.plan, dose_wanted_g(self.plan, self.request, self.conditions))
        self.reasons.because("dose_g", reason, Confidence.PREDICTED if reason == "fills_brewer" else Confidence.EXACT)

    def take_gas(self, written: GasLevel) -> None:
        """Give a fresher coffee a larger first pour."""
        fresher = for_gas(self.plan, written, self.conditions.gas)
        for index, (old, new) in enumerate(zip(self.plan.steps, fresher.steps, strict=True)):
            if old != new:
                self.reasons.because(f"step {index}", "more_gas", Confidence.RULE_OF_THUMB)
        self.plan = fresher

    def cap_kettle(self) -> None:
        """Ask for no hotter water than there is."""
        cap_c = kettle_cap_c(self.conditions.altitude_m)
        if self.plan.kettle_c > cap_c:
            self.plan = replace(self.plan, kettle_c=round_down(cap_c, 1.0))
            self.reasons.because("kettle_c", "boils_lower")
            self.miss("kettle_below_guide", {"wanted_c": self.guide.kettle_c, "cap_c": cap_c})

    def fit(self) -> None:
        """Send around the coffee what the brewer cannot hold, then round."""
        fits = self._split()
        if fits is not self.plan:
            reason = "fits_shut" if _uses_valve(self.plan) else "fits"
            for code in ("water_g", "bypass_g"):
                self.reasons.because(code, reason, Confidence.PREDICTED)
            self._practice(fits)
        self.plan = fits
        self._round()

    def _split(self) -> Plan:
        """The plan split to fit; as it is where bed and foam leave no room for a brew."""
        kept_g = retention_window(self.conditions.trial_retentions).high * self.plan.dose_g
        try:
            fits = split_to_fit(self.plan, self.conditions)
        except OutOfRange:
            fits = replace(self.plan, water_g=0.0)
        if fits.water_g > kept_g or self.plan.water_g <= kept_g:
            return fits
        self.miss("still_overflows", {"limit_g": fits.water_g, "charge_g": self.plan.water_g})
        return self.plan

    def _practice(self, fits: Plan) -> None:
        if fits.ice_g > 0:
            return
        share = fits.bypass_g / (fits.bypass_g + fits.water_g)
        if share > BYPASS_MOST_SHARE.value or fits.water_g / fits.dose_g < BREW_RATIO_LEAST.value:
            numbers = {"share": share, "high": BYPASS_MOST_SHARE.value}
            self.miss(
                "bypass_beyond_practice", {**numbers, "fits_dose_g": fullest_dose_g(self.guide_here(), self.conditions)}
            )

    def _round(self) -> None:
        if self.plan == self.guide and not self.request.simple:
            return
        try:
            self.plan = rounded(self.plan, five_grams if self.request.simple else whole_grams)
        except OutOfRange as refused:
            self.miss("pour_too_small", {"grams_g": refused.value})

    def match_drained(self, guide_s: float) -> None:
        """Grind so that the bed drains when the guide's does; later for a larger dose, longer pours or cooler water."""
        cooler_k = max(self.guide.kettle_c - self.plan.kettle_c, 0.0)
        longer_s = _last_pour_s(self.plan) - _last_pour_s(self.guide)
        size = (self.plan.dose_g / self.guide.dose_g) ** TIME_WITH_DOSE.value
        wanted_s = (guide_s + longer_s) * size + LATER_PER_COOLER_S_K.value * cooler_k
        here_s = drained_s(self.plan, self.conditions)
        if not math.isfinite(wanted_s) or (abs(here_s - wanted_s) <= DRAINED_HOLDS_S.value and cooler_k < _SAME_K):
            return
        before_um = self.plan.grind_um
        least = max(before_um * (1 - GRIND_MOST_SHARE.value), FINEST_UM)
        most = min(before_um * (1 + GRIND_MOST_SHARE.value), COARSEST_UM)
        try:
            found_um = grind_for_drained(
                self.plan, wanted_s, self.conditions, finest_um=least, coarsest_um=most
            ).grind_um
        except OutOfRange:  # no grind drains then: as far as we go
            found_um = most if here_s > wanted_s else least
        after_um = round_half_up(min(max(found_um, least), most), GRIND_SHOWN_UM.value)
        self.plan = replace(self.plan, grind_um=after_um)
        other = "other_brewer" if self.plan.brewer != self.guide.brewer else "other_dose"
        by_heat = cooler_k >= _SAME_K and after_um < before_um
        self.reasons.because("grind_um", "cooler_water" if by_heat else other, Confidence.PREDICTED)
        if not least < found_um < most:
            likely_s = drained_s(self.plan, self.conditions)
            self.miss("drained_moves", {"wanted_s": wanted_s, "likely_s": likely_s})

    def take_grinder(self) -> Setting | None:
        """Translate the grind to the reader's grinder; the plan goes on with the size its click lands on."""
        table = self.request.grinder
        if table is None:
            return None
        wanted_um = self.plan.grind_um
        try:
            setting = setting_for(table, wanted_um)
        except OutOfRange as refused:
            if refused.argument != "wanted_um":
                raise
            low, high = min(table.sizes_um), max(table.sizes_um)
            self.miss("grinder_out_of_points", {"wanted_um": wanted_um, "low_um": low, "high_um": high})
            return None
        self.own.append(Change("grinder_setting", None, setting.setting, "", "grinder_table", Confidence.RULE_OF_THUMB))
        if self.plan.grind_um == self.guide.grind_um:
            self.reasons.because("grind_um", "grinder_click")
        self.plan = replace(self.plan, grind_um=setting.landed_um)
        return setting

    def take_water(self) -> None:
        """Blend hard tap water down to what the guide was written with; say so where that cannot be."""
        tap = self.request.alkalinity_mg_l
        if tap is None:
            return
        check_range("alkalinity_mg_l", tap, low=0, high=1000, reason="drinking water")
        wanted = self.request.guide_alkalinity_mg_l
        wanted = TARGET["alkalinity"].target if wanted is None else wanted
        check_range("guide_alkalinity_mg_l", wanted, low=0, high=1000, reason="drinking water")
        if abs(tap - wanted) <= ALKALINITY_HOLDS_MG_L.value:
            return
        if tap > wanted >= SOFT_WATER_MG_L.value:
            share = tap_share(tap, SOFT_WATER_MG_L.value, wanted)
            self.own.append(Change("tap_share", 1.0, share, "1", "water_blend", Confidence.EXACT))
        else:
            self.miss("alkalinity_off", {"alkalinity_mg_l": tap, "wanted_mg_l": wanted})


def _uses_valve(plan: Plan) -> bool:
    return plan.valve_shut_at_start or any(step.action in (Action.OPEN, Action.SHUT) for step in plan.steps)


def _last_pour_s(plan: Plan) -> float:
    """Seconds, on its own anchor, at which the last pour ends: enough to tell by how much pours grew longer."""
    return next((step.end_s for step in reversed(plan.steps) if step.action is Action.POUR), 0.0)
