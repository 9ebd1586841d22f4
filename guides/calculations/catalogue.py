"""How these numbers are made: every formula with its constants, its sources and its checks, as data.

A check holds a value from outside and asks the room for its own when it is read: predicted beside published is
computed, never typed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from . import constants
from .constants import Constant
from .sources import SOURCES, Source


@dataclass(frozen=True)
class Check:
    """One value from outside beside ours, in ``unit``.

    ``within`` is how far ours may lie off; ``source`` a key of ``sources.py``, or empty with the origin in ``origin``
    ("arithmetic", "common practice, no source").
    """

    name: str
    published: float
    unit: str
    within: float
    ours: Callable[[], float]
    source: str = ""
    origin: str = ""

    @property
    def found(self) -> float:
        """Our value, computed now."""
        return self.ours()

    @property
    def off(self) -> float:
        """Ours minus the published value."""
        return self.found - self.published

    @property
    def holds(self) -> bool:
        """Whether ours lies as near as it should."""
        return math.isfinite(self.found) and abs(self.off) <= self.within


@dataclass(frozen=True)
class Formula:
    """One formula: its section, its text, names of its constants, keys of its sources, its checks.

    ``valid`` says where it holds, ``module`` where it is written.
    """

    section: str
    name: str
    text: str
    valid: str
    module: str
    constant_names: tuple[str, ...] = ()
    source_keys: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()

    @property
    def constants(self) -> tuple[tuple[str, Constant], ...]:
        """Name and value of each constant."""
        return tuple((name, getattr(constants, name)) for name in self.constant_names)

    @property
    def sources(self) -> tuple[Source, ...]:
        """The works cited, those of the checks and constants included, each once."""
        keys = [
            *self.source_keys,
            *(constant.source for _, constant in self.constants),
            *(check.source for check in self.checks),
        ]
        return tuple(SOURCES[key] for key in dict.fromkeys(keys) if key)


def catalogue() -> tuple[Formula, ...]:
    """Give every formula, in the order of the page.

    Returns:
        Formulas with their constants, sources and checks.

    Source: the modules named in each.

    >>> all(formula.text for formula in catalogue())
    True
    """
    from . import catalogue_bed, catalogue_cup, catalogue_room  # only the page needs them

    return (*catalogue_cup.FORMULAS, *catalogue_bed.FORMULAS, *catalogue_room.FORMULAS)


def all_constants() -> tuple[tuple[str, Constant], ...]:
    """Give every constant of the room by name.

    Returns:
        Name and constant, in the order of ``constants.py``.

    Source: constants.py.

    >>> dict(all_constants())["RETENTION"].value
    2.1
    """
    return tuple((name, value) for name, value in vars(constants).items() if isinstance(value, Constant))
