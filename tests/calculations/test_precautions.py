"""Before the clock, and the usual cautions."""

from dataclasses import replace

import pytest

from guides.calculations.findings import PREPARATIONS
from guides.calculations.precautions import (
    Preparation,
    before_the_clock,
    kettle_fill_g,
    rinse_g,
    safety_notes,
    server_ml,
)

from .demo_plans import DEMO, KELP_LIGHT, OUTER_MARK_ICED, ROPE_WALK_S, WINTER_KEEL


def codes(found):
    return [each.code for each in found]


@pytest.mark.parametrize("name", DEMO)
def test_server_and_kettle_hold_everything(name):
    plan = DEMO[name][0]
    assert server_ml(plan) >= (plan.water_g + plan.bypass_g + plan.ice_g) / 0.96
    assert kettle_fill_g(plan) >= plan.water_g + plan.bypass_g + rinse_g(plan)


def test_the_table_guide_asks_for_800_ml():
    """Written on the guide: a server of at least 800 mL."""
    assert server_ml(KELP_LIGHT) == 800


def test_a_valve_is_tested_and_set_before_the_coffee_goes_in():
    order = codes(before_the_clock(ROPE_WALK_S))
    assert order.index("test_valve") < order.index("shut_valve") < order.index("level_bed")
    assert "open_valve" in codes(before_the_clock(KELP_LIGHT))
    assert order[-1] == "zero_scale"


def test_ice_goes_in_before_the_scale_is_zeroed():
    order = codes(before_the_clock(OUTER_MARK_ICED))
    assert order.index("ice_in_server") < order.index("zero_scale")
    assert "rinse_paper" not in codes(before_the_clock(WINTER_KEEL))


@pytest.mark.parametrize("name", DEMO)
def test_every_guide_warns_of_heat_and_defers_to_local_rules(name):
    plan = DEMO[name][0]
    notes = codes(safety_notes(plan))
    assert {"hot_water", "stand_firm", "do_not_lift", "warm_the_glass", "cool_before_drinking", "fresh_gas"} <= set(
        notes
    )
    assert notes[-1] == "local_rules"
    assert ("iced_glass" in notes) == (plan.ice_g > 0)
    assert ("test_the_valve" in notes) == (plan.brewer.flow == "valve")


def test_scald_times():
    """US CPSC wording, from memory: 60 °C in about 6 s, 65.6 °C in 2 s."""
    hot = safety_notes(ROPE_WALK_S)[0].numbers
    assert hot == {"cooler_c": 60.0, "cooler_s": 6.0, "hotter_c": 65.6, "hotter_s": 2.0}


def test_unknown_preparations_are_refused():
    assert set(codes(before_the_clock(replace(ROPE_WALK_S, ice_g=10)))) <= set(PREPARATIONS)
    with pytest.raises(KeyError):
        Preparation("stand_on_one_leg")
