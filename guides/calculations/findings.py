"""Every code a finding or a change can carry, one line each, so that no message is ever missing.

Presenters hold a message per code and language; a test compares the two.
"""

from __future__ import annotations

from typing import Final

from .validity import Caution, Severity

REFUSALS: Final[dict[str, str]] = {
    "no_pour": "the plan has no pour",
    "pour_without_target": "a pour has no scale target",
    "ends_before_start": "a step ends before it starts (start_s, end_s)",
    "steps_out_of_order": "a step starts before the step above it (start_s, previous_s)",
    "overlapping_pours": "a pour starts before the last one ended (start_s, previous_end_s)",
    "targets_not_rising": "a pour's target is not above the one before (target_g, previous_g)",
    "targets_do_not_add_up": "the last pour's target is not the water (target_g, water_g, difference_g)",
    "bypass_does_not_add_up": "the scale after the bypass does not add up (target_g, expected_g, difference_g)",
    "pour_takes_no_time": "a pour starts and ends at the same moment (start_s)",
    "pour_after_decant": "a pour starts after the brew was decanted (start_s, decant_s)",
    "decanted_while_pouring": "the brew is decanted before the last pour has ended (decant_s, end_s)",
    "plan_too_long": "a step ends later than any brew by hand (end_s, longest_s)",
    "nothing_runs_off": "the grounds keep all the water (water_g, kept_g)",
    "anchor_never_comes": "a step waits for something that never happens before it",
    "valve_without_valve": "a valve step, or a shut start, on a brewer without a valve",
    "never_opens": "the valve is shut at the end, so nothing reaches the cup",
    "never_decanted": "a full-immersion brew is never decanted",
    "overflows_shut": "more above the shut valve than fits; split (limit_g, charge_g, water_g, bypass_g)",
    "overflows": "the brewer runs over (overflow_s, held_g, limit_g)",
    "hotter_than_boiling": "the kettle is above 1 degree C below boiling (kettle_c, cap_c, boiling_c)",
    "target_above_plateau": "an immersion cannot get that strong at this ratio (target, plateau)",
}

CAUTIONS: Final[dict[str, str]] = {
    "pour_too_fast": "a pour is faster than good practice (rate_g_s, high_g_s)",
    "pour_too_slow": "a pour is slower than good practice (rate_g_s, low_g_s)",
    "rim_left_dry": "every pour stays in the centre and nothing stirs: the rim of the bed stays dry",
    "brew_ratio_tight": "little water per gram of coffee goes through the bed (brew_ratio, low)",
    "much_bypass": "much of the water goes around the coffee (share, high)",
    "near_shut_limit": "within 5 % of what fits above the shut valve (limit_g, charge_g)",
    "near_limit": "within 5 % of what the brewer holds (limit_g, held_g)",
    "valve_already_so": "a valve step that changes nothing",
    "first_drip_off": "the promised first drip is outside its window (target_s, low_s, high_s)",
    "targets_disagree": "strength and extraction promised cannot both be (extraction, low, high)",
    "still_draining": "the bed is still draining at the end of the time looked at (after_s)",
    "outside_usual_extraction": "the promised cup asks for an extraction outside 14 to 26 % (low, high)",
}

NOTES: Final[dict[str, str]] = {
    "last_drops_not_measured": "extraction of a valve brew taken as if the retained liquid held nothing",
    "extraction_assumed": "no target promised: strength shown for a usual extraction (low, high)",
    "not_yet_plateau": "a steep this short stays below the plateau (plateau, steep_s, plateau_s)",
    "hot_water": "boiling water and steam scald (cooler_c, cooler_s, hotter_c, hotter_s)",
    "stand_firm": "the brewer stands on something stable, over a server large enough (server_ml)",
    "test_the_valve": "test the valve with a little water and shut it before filling (test_g)",
    "do_not_lift": "do not lift a full brewer",
    "warm_the_glass": "warm glass before hot water",
    "iced_glass": "never pour hot coffee onto iced glass",
    "cool_before_drinking": "let it cool before drinking (below_c, harm_c)",
    "fresh_gas": "freshly roasted and ground coffee gives off gas: vented bags, ventilated stores, nobody in bins",
    "local_rules": "local codes and licensed practice come first",
}

PREPARATIONS: Final[dict[str, str]] = {
    "place_server": "something stable, and a server that holds everything that runs out (server_ml)",
    "ice_in_server": "the ice into the server, then zero the scale (ice_g)",
    "fill_kettle": "water for coffee, cup and rinse, and what stays in the kettle (kettle_fill_g)",
    "heat_kettle": "to the reading the guide asks for (kettle_c)",
    "test_valve": "a little water: shut it holds, open it runs; then shut it (test_g)",
    "rinse_paper": "rinse the paper and warm brewer and server, then empty the server; not counted (rinse_g)",
    "warm_vessel": "warm the vessel with hot water, then empty it; not counted (rinse_g)",
    "shut_valve": "shut the valve before the coffee goes in",
    "open_valve": "open the valve before the coffee goes in",
    "level_bed": "the ground coffee in, the bed level (dose_g)",
    "zero_scale": "scale and clock to zero",
}

ADVICE: Final[dict[str, str]] = {
    "keep": "nothing to change",
    "less_bypass": "weak: add less water to the cup (before_g, after_g)",
    "more_bypass": "strong: add more water to the cup (before_g, after_g)",
    "less_water": "weak: pour less water through the same coffee (before_g, after_g)",
    "more_water": "strong: pour more water through the same coffee (before_g, after_g)",
    "finer": "sour and thin: grind finer (before_um, after_um, before_s, after_s)",
    "coarser": "bitter and drying: grind coarser (before_um, after_um, before_s, after_s)",
    "pour_lower": "drying although it ran fast: uneven; pour lower, do not grind coarser (drained_s, low_s)",
}

CHANGES: Final[dict[str, str]] = {
    "dose_g": "the dose",
    "water_g": "the water through the coffee",
    "bypass_g": "the water added to the cup",
    "ice_g": "the ice",
    "cup_g": "the cup",
    "kettle_c": "the kettle",
    "grind_um": "the grind",
    "grinder_setting": "the setting of the reader's grinder",
    "step_target_g": "a scale target",
    "step_time_s": "a step's time",
    "first_drip_s": "the first drip",
    "drained_s": "the drained time",
    "usable_ml": "what the brewer holds to its line",
    "tap_share": "the share of tap water in the reader's blend",
}

REASONS: Final[dict[str, str]] = {
    "asked_dose": "the reader asked for this dose",
    "asked_cup": "the reader asked for this cup",
    "fills_brewer": "as much as the reader's brewer holds",
    "finishes_bag": "what is left in the bag",
    "scaled": "follows the dose, at the same ratio",
    "pour_rate": "keeps the pour within the speed of the guide",
    "fits_shut": "what fits above the shut valve; the rest goes around the coffee",
    "fits": "what the brewer holds; the rest goes around the coffee",
    "boils_lower": "water boils lower where the reader is",
    "cooler_water": "finer, so that cooler water stays a little longer",
    "own_brewer": "the reader's own brewer",
    "other_brewer": "another brewer drains differently: ground to keep the drained time",
    "other_dose": "a bed of another depth drains differently: ground to keep the drained time",
    "grinder_table": "the reader's grinder, from its calibration points",
    "grinder_click": "the nearest click of the reader's grinder",
    "predicted": "the model's prediction for the changed brew",
    "more_gas": "a fresher coffee foams more and holds more water up",
    "water_blend": "blend towards the water the guide was written with",
}

UNMET: Final[dict[str, str]] = {
    "grinder_out_of_points": "the wanted grind lies outside the grinder's points (wanted_um, low_um, high_um)",
    "still_overflows": "the plan does not fit this brewer even with bypass (limit_g, charge_g)",
    "target_not_reached": "an immersion with so much around it cannot be as strong as promised (target, plateau)",
    "kettle_below_guide": "the guide's temperature cannot be reached here (wanted_c, cap_c)",
    "drained_moves": "the drained time cannot be kept by grind alone (wanted_s, likely_s)",
    "no_valve": "the guide shuts a valve and this brewer has none",
    "not_the_same_method": "an immersion guide on a draining brewer, or the reverse",
    "bypass_beyond_practice": "split to fit, too much goes around the coffee (share, high, fits_dose_g)",
    "alkalinity_off": "the reader's water is far from the guide's (alkalinity_mg_l, wanted_mg_l)",
    "pour_too_small": "a pour scaled down to less than a scale shows (grams_g)",
}


def refusal(code: str, step: int | None = None, **numbers: float) -> Caution:
    """Make a refusal.

    Args:
        code: a key of ``REFUSALS``.
        step: index of the step it concerns, if any.
        **numbers: what the message shows, each name carrying its unit.

    Returns:
        The finding.

    >>> refusal("no_pour").severity
    <Severity.REFUSAL: 'refusal'>
    """
    return _finding(REFUSALS, Severity.REFUSAL, code, step, numbers)


def caution(code: str, step: int | None = None, **numbers: float) -> Caution:
    """Make a caution.

    Args:
        code: a key of ``CAUTIONS``.
        step: index of the step it concerns, if any.
        **numbers: what the message shows, each name carrying its unit.

    Returns:
        The finding.

    >>> caution("rim_left_dry").severity
    <Severity.CAUTION: 'caution'>
    """
    return _finding(CAUTIONS, Severity.CAUTION, code, step, numbers)


def note(code: str, step: int | None = None, **numbers: float) -> Caution:
    """Make a note.

    Args:
        code: a key of ``NOTES``.
        step: index of the step it concerns, if any.
        **numbers: what the message shows, each name carrying its unit.

    Returns:
        The finding.

    >>> note("do_not_lift").severity
    <Severity.NOTE: 'note'>
    """
    return _finding(NOTES, Severity.NOTE, code, step, numbers)


def _finding(
    table: dict[str, str], severity: Severity, code: str, step: int | None, numbers: dict[str, float]
) -> Caution:
    if code not in table:
        raise KeyError(f"{code} is not in the table of {severity} codes in findings.py")
    return Caution(code, severity, numbers, step)
