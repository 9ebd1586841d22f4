"""The shape of the brewing page: the guide's table row by row, and what its script is told. ``brewing.build`` fills it.

Everything that is shown comes from here in words of one language. The script compares moments, adds lateness to
moments, and chooses among the sentences it was sent; it computes nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

START = -1
"""What a row hangs on that counts from the start."""


@dataclass(frozen=True)
class BrewRow:
    """One row: a step of the plan, or something the coffee does by itself that the plan waits for.

    ``step`` is the index of the step in the plan, ``None`` for what the coffee does. ``clock`` is from and to,
    ``brief`` the moment it begins, empty where it is not known before. ``verb`` is short, ``act`` the whole sentence;
    ``large`` and ``how`` are what the enlarged row says beside its target. A ``gate`` is not taken as done by the
    clock. The row begins ``after_s`` from the end of row ``on``, or from the start, and ``lasts_s``. ``beeps`` sound
    when it begins. ``late`` says what lateness does, band by band, ``over`` what to do once the scale shows more.
    """

    step: int | None
    kind: str
    number: str
    clock: str
    brief: str
    about: bool
    verb: str
    act: str
    large: str
    how: str
    target: str
    gate: bool
    on: int
    after_s: float
    lasts_s: float
    beeps: int
    done: str
    late: tuple[Band, ...] = ()
    over: tuple[Over, ...] = ()


@dataclass(frozen=True)
class Band:
    """A sentence for all values up to ``to_s``; ``None``: for all that are left."""

    to_s: float | None
    says: str


@dataclass(frozen=True)
class Over:
    """What follows once the scale shows ``reading``: new targets by row, rows to leave out, and a sentence."""

    reading: str
    reading_g: float
    targets: dict[int, str]
    dropped: tuple[int, ...]
    says: str
    spills: bool


@dataclass(frozen=True)
class Choice:
    """One answer to tap; ``value`` is what the script sees."""

    value: str
    label: str


@dataclass(frozen=True)
class Question:
    """Something to tap after the brew."""

    name: str
    label: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class After:
    """What comes after the brew: (water added, strength), questions, a drawing per advice, and ``told`` the script."""

    bypass: tuple[tuple[str, str], ...]
    bed: tuple[Question, ...]
    bed_drawings: dict[str, str] = field(repr=False)
    taste: tuple[Question, ...]
    told: dict[str, Any] = field(repr=False)


@dataclass(frozen=True)
class Sights:
    """The brewer from the side, pours from above by row, and what the script is ``told`` to follow the brew."""

    cone: str = field(repr=False)
    paths: dict[int, str] = field(repr=False)
    told: dict[str, Any] = field(repr=False)


@dataclass(frozen=True)
class BrewPage:
    """Everything the page shows. ``plan_id`` is the same in every language; ``told`` is what the script gets."""

    plan_id: str
    title: str
    coffee: str
    brewer: str
    recipe: str
    before: tuple[str, ...]
    safety: tuple[str, ...]
    rows: tuple[BrewRow, ...]
    sights: Sights
    after: After
    told: dict[str, Any] = field(repr=False)
