"""The shape of a guide as it is read: every word and number in one language, ready to lay out.

Page, insert, API and structured data all render this; none of them computes or formats anything of its own.
``guide_sheet.build`` fills it.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

from .pictures import Clip, Picture


@dataclass(frozen=True)
class Fact:
    """A named figure: ``value`` is number and unit in the reader's language, ``note`` what stands small beside it.

    ``mass_g`` is least and most of what goes in, for machines; ``None`` where nothing is weighed. ``was`` is the
    guide's own value and note where a reader's differs.
    """

    key: str
    label: str
    value: str
    note: str = ""
    mass_g: tuple[float, float] | None = None
    was: str = ""


@dataclass(frozen=True)
class SheetStep:
    """One row of the cumulative table, and the layers that fold open beneath it.

    ``clock`` is "0:40–1:00", or the event it waits for. ``about`` marks a predicted time. ``target`` is what the scale
    shows when the step ends, empty where nothing is weighed. ``act`` says what to do, verb first, numbers included.
    ``plain`` says it in a novice's words of our own, ``simple`` in the roaster's, where there are any.
    ``was_clock`` and ``was_target`` are the guide's own where a reader's differ.
    """

    number: int
    action: str
    clock: str
    about: bool
    target: str
    act: str
    simple: str
    in_depth: str
    why: str
    start_s: float
    end_s: float
    target_g: float | None
    was_clock: str = ""
    was_target: str = ""
    untranslated: frozenset[str] = frozenset()
    picture: Picture | None = None
    clip: Clip | None = None
    plain: str = ""

    @property
    def adds_words(self) -> bool:
        """Whether the roaster's simple words say anything besides ``act``."""
        return self.simple.rstrip(".").casefold() not in ("", self.act.casefold())


@dataclass(frozen=True)
class LotFacts:
    """This bag: its lot, its code, and where it stands in its window today, in a dated sentence.

    ``window`` is the first and last good day as dates, which stay true on paper, ``short_window`` the same for a
    sticker; ``recalled`` is the reason given.
    """

    name: str
    code: str
    roasted_on: datetime.date
    day: int
    freshness: str
    freshness_key: str
    recalled: str = ""
    window: str = ""
    short_window: str = ""
    window_drawing: str = field(default="", repr=False)


@dataclass(frozen=True)
class SheetChange:
    """One figure, or one kind of figure over several steps, that differs from the guide: by how much, why, how sure."""

    code: str
    what: str
    before: str
    after: str
    by: str
    why: str
    sure: str


@dataclass(frozen=True)
class SheetUnmet:
    """One wish that could not be honoured: ``said`` why not, and ``instead`` what helps."""

    code: str
    said: str
    instead: str


@dataclass(frozen=True)
class Compared:
    """One line of the guide beside the reader's: the same figure twice."""

    label: str
    mine: str
    guide: str
    differs: bool


@dataclass(frozen=True)
class AdaptedPart:
    """How a sheet differs from the guide it was made from.

    ``query`` is the request as an address says it, ``gear`` the part of it that belongs to a kitchen. ``notes`` say
    what the figures rest on. ``original_drawing`` is the plan as published.
    """

    query: str
    gear: str
    changes: tuple[SheetChange, ...]
    unmet: tuple[SheetUnmet, ...]
    notes: tuple[str, ...]
    compared: tuple[Compared, ...]
    original_drawing: str = field(default="", repr=False)


@dataclass(frozen=True)
class GuideSheet:
    """Everything a guide says. Empty strings and tuples where it says nothing.

    ``in_depth`` and ``why`` are Markdown as typed; ``words_language`` is the language the roaster's words are in, which
    differs from ``language`` where a translation is missing. ``rests_on`` says what the predictions rest on.
    ``safety_on_paper`` are those safety notes that stay with the brewer; the others are among the preparations or on
    the page. ``ends_s`` is when the brew is done, on its clock. ``adapted`` says how a sheet made for one reader
    differs from the guide. ``untranslated`` names the texts, here and in each step, that stand in ``source_language``
    because their translation is missing or older than they are.
    """

    guide_number: int
    slug: str
    revision: int | None
    state: str
    language: str
    direction: str
    title: str
    summary: str
    coffee: str
    coffee_slug: str
    brewer: str
    paper: str
    ingredients: tuple[Fact, ...]
    targets: tuple[Fact, ...]
    predictions: tuple[Fact, ...]
    before: tuple[str, ...]
    steps: tuple[SheetStep, ...]
    cautions: tuple[str, ...]
    safety: tuple[str, ...]
    in_depth: str
    why: str
    bypass: tuple[Fact, ...] = ()
    grinders: tuple[Fact, ...] = ()
    lot: LotFacts | None = None
    published_on: datetime.date | None = None
    change_note: str = ""
    words_language: str = ""
    source_language: str = ""
    untranslated: frozenset[str] = frozenset()
    rests_on: str = ""
    withdrawn: str = ""
    safety_on_paper: tuple[str, ...] = ()
    coffee_picture: Picture | None = None
    plan_drawing: str = field(default="", repr=False)
    cone_drawing: str = field(default="", repr=False)
    path_drawings: tuple[str, ...] = field(default=(), repr=False)
    temperature_drawing: str = field(default="", repr=False)
    ends_s: float = 0.0
    adapted: AdaptedPart | None = None
