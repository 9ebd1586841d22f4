"""Sizes of printed things, as data. A new size is a new row here and a template, no new code.

Sizes in millimetres: A4 to A7 from ISO 216. Text keeps 4 mm from the trim, a bleed is 3 mm and a module of a symbol is
at least 0.5 mm: common practice, no source. The smallest type keeps the height of a small x above 0.9 mm, the least
that Regulation (EU) 1169/2011, Annex IV, allows on small packs: an insert is no food label, but the eyes are the same.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

TEXT_FROM_TRIM_MM: Final = 4.0
MODULE_MM: Final = 0.5
BLEED_MM: Final = 3.0


class Leads(Enum):
    """What the symbol on a paper leads to."""

    TO_INSERT = "the guide's page for this lot, in this revision and language"
    TO_LOT = "the lot's own page"


@dataclass(frozen=True)
class Format:
    """One printed thing.

    Lengths in mm, type sizes in points, largest first: the largest that fits is taken. ``symbol_mm`` is the width of
    the symbol with its quiet zone, ``drawing_mm`` that of the plan drawing, ``ruler_mm`` the length of the line that
    shows whether it was printed full size; 0 where there is none. ``bleed_mm`` is how far a coloured edge runs over the
    cut; 0 for paper that stays white to its edges. ``per_bag`` says whether one goes with every bag.
    """

    key: str
    template: str
    sheets: tuple[str, ...]
    width_mm: float
    height_mm: float
    sides: tuple[str, ...]
    margin_mm: float
    symbol_mm: float
    drawing_mm: float
    ruler_mm: float
    type_pt: tuple[float, ...]
    leads: Leads = Leads.TO_INSERT
    bleed_mm: float = 0.0
    per_bag: bool = field(default=True, repr=False)
    name: str | Promise = field(default="", repr=False)  # papers are found again by their repr, in any language


# For the bag itself: its code is the lot's, whatever guide is shown for it.
STICKER_50X30: Final = Format(
    key="sticker-50x30",
    template="guides/documents/sticker.html",
    sheets=("css/tokens.css", "css/insert.css", "css/sticker.css"),
    width_mm=50.0,
    height_mm=30.0,
    sides=("front",),
    margin_mm=4.0,
    symbol_mm=20.0,
    drawing_mm=0.0,
    ruler_mm=0.0,
    type_pt=(8.0, 7.5, 7.0, 6.5, 6.0),
    leads=Leads.TO_LOT,
    name=_("lot sticker, 50 × 30 mm"),
)

INSERT_A6: Final = Format(
    key="insert-a6",
    template="guides/documents/insert.html",
    sheets=("css/tokens.css", "css/insert.css"),
    width_mm=105.0,
    height_mm=148.0,
    sides=("front", "back"),
    margin_mm=5.0,
    symbol_mm=28.0,
    drawing_mm=68.0,
    ruler_mm=50.0,
    type_pt=(9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0),
    name=_("insert, A6"),
)

CARD_A7: Final = Format(
    key="card-a7",
    template="guides/documents/card.html",
    sheets=("css/tokens.css", "css/insert.css", "css/card.css"),
    width_mm=74.0,
    height_mm=105.0,
    sides=("front",),
    margin_mm=4.5,
    symbol_mm=20.0,
    drawing_mm=0.0,
    ruler_mm=0.0,
    type_pt=(9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0),
    name=_("small card, A7"),
)

# Large print begins at 16 points: common practice, no source.
LARGE_A5: Final = Format(
    key="large-a5",
    template="guides/documents/large.html",
    sheets=("css/tokens.css", "css/insert.css", "css/large.css"),
    width_mm=148.0,
    height_mm=210.0,
    sides=("front", "back"),
    margin_mm=8.0,
    symbol_mm=34.0,
    drawing_mm=0.0,
    ruler_mm=50.0,
    type_pt=(18.0, 17.0, 16.0),
    per_bag=False,
    name=_("large print, A5"),
)

WALL_A4: Final = Format(
    key="wall-a4",
    template="guides/documents/wall.html",
    sheets=("css/tokens.css", "css/insert.css", "css/wall.css"),
    width_mm=210.0,
    height_mm=297.0,
    sides=("front",),
    margin_mm=12.0,
    symbol_mm=40.0,
    drawing_mm=112.0,
    ruler_mm=100.0,
    type_pt=(22.0, 20.0, 19.0, 18.0, 17.0, 16.0, 15.0, 14.0),
    per_bag=False,
    name=_("wall sheet, A4"),
)

FORMATS: Final = {paper.key: paper for paper in (STICKER_50X30, CARD_A7, INSERT_A6, LARGE_A5, WALL_A4)}

# The same with a coloured edge that runs over the cut. The sticker has no colour, and a wall sheet is not cut.
WITH_BLEED: Final = {
    paper.key: paper
    for paper in (
        replace(CARD_A7, key="card-a7-bleed", bleed_mm=BLEED_MM, name=_("small card, A7, coloured edge")),
        replace(INSERT_A6, key="insert-a6-bleed", bleed_mm=BLEED_MM, name=_("insert, A6, coloured edge")),
        replace(LARGE_A5, key="large-a5-bleed", bleed_mm=BLEED_MM, name=_("large print, A5, coloured edge")),
    )
}

# A site's own sheet: what was changed for it needs room. It goes with no lot, so no packing run offers it.
SITE_WALL_A4: Final = Format(
    key="site-wall-a4",
    template="guides/documents/site_wall.html",
    sheets=("css/tokens.css", "css/insert.css", "css/wall.css", "css/site_wall.css"),
    width_mm=210.0,
    height_mm=297.0,
    sides=("front",),
    margin_mm=12.0,
    symbol_mm=38.0,
    drawing_mm=66.0,
    ruler_mm=50.0,
    type_pt=(22.0, 20.0, 18.0, 17.0, 16.0, 15.0, 14.0, 13.0, 12.0),
    name=_("wall sheet of a site, A4"),
)

# The slip on top of a packing run takes the size of the sheets it lies on; the sizes here are those of A4.
COVER: Final = Format(
    key="cover",
    template="guides/documents/cover.html",
    sheets=("css/tokens.css", "css/insert.css", "css/cover.css"),
    width_mm=210.0,
    height_mm=297.0,
    sides=("front",),
    margin_mm=15.0,
    symbol_mm=45.0,
    drawing_mm=0.0,
    ruler_mm=100.0,
    type_pt=(16.0, 14.0, 12.0),
    name=_("cover slip"),
)
