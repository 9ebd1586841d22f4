"""Before the clock starts, and what can hurt: water, glass and gas."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from .constants import (
    DRINK_BELOW_C,
    DRINK_HARM_C,
    HOT_WATER_FILL,
    ICE_G_PER_ML,
    RINSE_G_PER_ML,
    RINSE_LEAST_G,
    SCALD_COOLER_C,
    SCALD_COOLER_S,
    SCALD_HOTTER_C,
    SCALD_HOTTER_S,
    SERVER_MARGIN,
    STAYS_IN_KETTLE_G,
    VALVE_TEST_G,
)
from .findings import PREPARATIONS, note
from .plan import Plan
from .rounding import round_half_up, round_up
from .validity import Caution
from .vessel import Flow


@dataclass(frozen=True)
class Preparation:
    """One thing to do before the clock; ``code`` is a key of ``findings.PREPARATIONS``."""

    code: str
    numbers: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.code not in PREPARATIONS:
            raise KeyError(f"{self.code} is not in PREPARATIONS")


def rinse_g(plan: Plan) -> float:
    """Give the hot water that rinses the paper and warms the brewer; it is thrown away and not counted.

    Args:
        plan: the brew.

    Returns:
        Water in g, to 10 g.

    Source: own default.

    >>> from .vessel import Brewer, Cone
    >>> rinse_g(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()))
    150.0
    """
    return round_half_up(max(RINSE_LEAST_G.value, RINSE_G_PER_ML.value * plan.brewer.usable_ml), 10)


def kettle_fill_g(plan: Plan) -> float:
    """Give what the kettle must hold: coffee water, water for the cup, rinse and what stays behind.

    Args:
        plan: the brew.

    Returns:
        Water in g, rounded up to 10 g.

    Source: definition; rinse and remainder own defaults.

    >>> from .vessel import Brewer, Cone
    >>> kettle_fill_g(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()))
    490.0
    """
    return round_up(plan.water_g + plan.bypass_g + rinse_g(plan) + STAYS_IN_KETTLE_G.value, 10)


def server_ml(plan: Plan) -> float:
    """Give the server that holds everything that could run out, even if the bed keeps nothing, with room to carry it.

    Args:
        plan: the brew.

    Returns:
        Volume in mL, rounded up to 100 mL.

    Source: own default.

    >>> from .vessel import Brewer, Cone
    >>> server_ml(Plan(40, 560, 91, 820, Brewer(Cone(30, 10), 560, 60, Flow.OPEN), (), bypass_g=80))
    800.0
    """
    volume_ml = (plan.water_g + plan.bypass_g) / HOT_WATER_FILL.value + plan.ice_g / ICE_G_PER_ML.value
    return round_up(volume_ml * (1 + SERVER_MARGIN.value), 100)


def before_the_clock(plan: Plan) -> tuple[Preparation, ...]:
    """List what to do before the clock starts, in order.

    Args:
        plan: the brew.

    Returns:
        Preparations in order.

    Source: common practice, no source.

    >>> from .vessel import Brewer, Cone
    >>> steps = before_the_clock(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()))
    >>> [step.code for step in steps]
    ['place_server', 'fill_kettle', 'heat_kettle', 'rinse_paper', 'level_bed', 'zero_scale']
    """
    valve, jar = plan.brewer.flow is Flow.VALVE, plan.brewer.flow is Flow.CLOSED
    wanted = [
        (True, Preparation("place_server", {"server_ml": server_ml(plan)})),
        (True, Preparation("fill_kettle", {"kettle_fill_g": kettle_fill_g(plan)})),
        (True, Preparation("heat_kettle", {"kettle_c": plan.kettle_c})),
        (valve, Preparation("test_valve", {"test_g": VALVE_TEST_G.value})),
        (True, Preparation("warm_vessel" if jar else "rinse_paper", {"rinse_g": rinse_g(plan)})),
        (plan.ice_g > 0, Preparation("ice_in_server", {"ice_g": plan.ice_g})),
        (valve, Preparation("shut_valve" if plan.valve_shut_at_start else "open_valve")),
        (True, Preparation("level_bed", {"dose_g": plan.dose_g})),
        (True, Preparation("zero_scale")),
    ]
    return tuple(preparation for applies, preparation in wanted if applies)


def safety_notes(plan: Plan) -> tuple[Caution, ...]:
    """List the usual cautions that go with a brew, the deferral to local rules last.

    Args:
        plan: the brew.

    Returns:
        Notes in order.

    Source: cpsc-scalds, moritz-henriques-1947, iarc-116, niosh-coffee.

    >>> from .vessel import Brewer, Cone
    >>> notes = safety_notes(Plan(15, 240, 93, 700, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), ()))
    >>> notes[-1].code
    'local_rules'
    """
    wanted = [
        (
            True,
            note(
                "hot_water",
                cooler_c=SCALD_COOLER_C.value,
                cooler_s=SCALD_COOLER_S.value,
                hotter_c=SCALD_HOTTER_C.value,
                hotter_s=SCALD_HOTTER_S.value,
            ),
        ),
        (True, note("stand_firm", server_ml=server_ml(plan))),
        (plan.brewer.flow is Flow.VALVE, note("test_the_valve", test_g=VALVE_TEST_G.value)),
        (True, note("do_not_lift")),
        (True, note("warm_the_glass")),
        (plan.ice_g > 0, note("iced_glass")),
        (True, note("cool_before_drinking", below_c=DRINK_BELOW_C.value, harm_c=DRINK_HARM_C.value)),
        (True, note("fresh_gas")),
        (True, note("local_rules")),
    ]
    return tuple(finding for applies, finding in wanted if applies)
