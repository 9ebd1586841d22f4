"""Every constant a calculation uses, with its unit, its uncertainty and where it comes from.

``source`` is a key of ``sources.py``; it may be empty only where ``status`` says there is no source. The page "How
these numbers are made" lists this file.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

CALCULATION_VERSION: Final = "1"
"""Stored with every published version, so that drift can be told from a change of formula."""


class Status(StrEnum):
    """How well a constant is founded."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"  # the trade does it; no source
    OWN_DEFAULT = "own default"  # to be replaced by the roastery's own trial brews
    FROM_MEMORY = "from memory"  # a source is believed to exist; it was not at hand


@dataclass(frozen=True)
class Constant:
    """A number with its pedigree.

    ``uncertainty`` is one standard deviation in ``unit``; 0 means exact or not stated.
    """

    value: float
    unit: str
    uncertainty: float
    source: str
    status: Status
