"""What to do before the clock, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from django.utils.translation import gettext, gettext_noop, override

from guides.calculations.plan import Plan
from guides.calculations.precautions import Preparation, before_the_clock

from .findings import shown
from .numbers import Figures
from .units import METRIC, Units

_WORDS: Final[dict[str, str]] = {
    "place_server": gettext_noop(
        "Stand the brewer firmly over a server that holds %(server_ml)s or more: everything that runs out must fit."
    ),
    "ice_in_server": gettext_noop("Put %(ice_g)s of ice into the server."),
    "fill_kettle": gettext_noop("Fill the kettle with %(kettle_fill_g)s: coffee, cup and rinse together."),
    "heat_kettle": gettext_noop("Heat it until it reads %(kettle_c)s."),
    "test_valve": gettext_noop("Test the valve with %(test_g)s of water: shut, it holds; open, it runs."),
    "rinse_paper": gettext_noop(
        "Rinse the paper with %(rinse_g)s of hot water, let it warm brewer and server, and pour it away."
    ),
    "warm_vessel": gettext_noop("Warm the brewer with %(rinse_g)s of hot water and pour it away."),
    "shut_valve": gettext_noop("Shut the valve."),
    "open_valve": gettext_noop("Open the valve."),
    "level_bed": gettext_noop("Put in %(dose_g)s of ground coffee and shake it level."),
    "zero_scale": gettext_noop("Set scale and clock to zero."),
}


def messages(plan: Plan, kept: Mapping[str, float], language: str, units: Units = METRIC) -> tuple[str, ...]:
    """Say everything to do before the clock, in order.

    Args:
        plan: the brew.
        kept: numbers worked out when the guide was published, by name; they stand before fresh ones.
        language: of the words.
        units: the reader's.
    """
    said = []
    for preparation in before_the_clock(plan):
        numbers = {name: kept.get(name, value) for name, value in preparation.numbers.items()}
        said.append(message(replace(preparation, numbers=numbers), language, units))
    return tuple(said)


def message(preparation: Preparation, language: str, units: Units = METRIC) -> str:
    """Say one thing to do before the clock, numbers included."""
    numbers = shown(preparation.code, preparation.numbers, Figures(language, units))
    with override(language):
        return gettext(_WORDS[preparation.code]) % numbers


def codes() -> frozenset[str]:
    """Codes that have words."""
    return frozenset(_WORDS)
