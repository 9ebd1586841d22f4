"""An insert as HTML: the sheet's words and figures in their places, the symbol, the ruler, the lot line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, override

from guides.codes import qr
from guides.presenters import prose
from guides.presenters.addresses import PrintedAddress
from guides.presenters.guide_sheet import GuideSheet, LotFacts
from guides.presenters.numbers import NO_BREAK, Figures
from guides.queries import house as houses

from .formats import MODULE_MM, Format
from .typefaces import STACK

_EDGE_MM = 2.0  # of the coloured edge that stays after the cut
# Between two numbers a dash goes the way of the words, and 0–60 would read as 60–0 (Unicode Annex 9).
_SPAN = re.compile(r"(?<=\d)–(?=\d)")
_LEFT_TO_RIGHT = "\N{LEFT-TO-RIGHT MARK}–\N{LEFT-TO-RIGHT MARK}"
_RATIOS = ("brew_ratio", "cup_ratio")


@dataclass(frozen=True)
class House:
    """The roastery as it stands on paper: its name and its one accent."""

    name: str
    accent: str


def identity() -> House:
    """Give the roastery as it is written down now."""
    roastery = houses.current()
    return House(roastery.name, roastery.accent)


def is_sample() -> bool:
    """Say whether addresses printed now lead to a demo site and not to customers."""
    return bool(settings.DEMO or settings.PUBLIC_BASE_URL == settings.DEMO_BASE_URL)


def symbol_width_mm(symbol: qr.Symbol, paper: Format) -> float:
    """Give the width of a symbol with its quiet zone: the format's, or more where modules would be too small."""
    return max(paper.symbol_mm, symbol.side * MODULE_MM)


def html(
    sheet: GuideSheet,
    address: PrintedAddress,
    symbol: qr.Symbol,
    house: House,
    paper: Format,
    mark: str = "",
    *,
    draft: bool = False,
) -> str:
    """Write the document.

    Args:
        sheet: the guide in one language, with the lot it goes with.
        address: what the symbol says.
        symbol: the address as a symbol.
        house: the roastery.
        paper: the format.
        mark: what tells this printing from others of the same edition, such as R1.
        draft: whether it is only to be looked at; its mark says so.

    Raises:
        ValueError: the sheet is of no lot.
    """
    if sheet.lot is None:
        raise ValueError("An insert goes with a lot; build the sheet for one.")
    with override(sheet.language):
        written = render_to_string(
            paper.template,
            {
                "sheet": sheet,
                "house": house.name,
                "draft": draft,
                "sample": is_sample() and not draft,
                **_front(sheet, sheet.lot, address, symbol),
                **_back(sheet, paper, mark),
            },
        )
    return _SPAN.sub(_LEFT_TO_RIGHT, written) if sheet.direction == "rtl" else written


def lot_parts(sheet: GuideSheet, address: PrintedAddress, names: Iterable[str]) -> SafeString:
    """Write those elements of a document that differ from lot to lot.

    Args:
        sheet: the guide with the lot.
        address: what its symbol says.
        names: which elements; each is a file of ``_parts/lot``.

    Raises:
        ValueError: the sheet is of no lot.
    """
    if sheet.lot is None:
        raise ValueError("What differs from lot to lot needs a lot.")
    context = {"sheet": sheet, **_of_lot(sheet, sheet.lot, address)}
    return mark_safe("".join(render_to_string(f"guides/documents/_parts/lot/{name}.html", context) for name in names))  # noqa: S308


def rules(symbol: qr.Symbol, house: House, paper: Format, type_pt: Mapping[str, float]) -> str:
    """Write what the style sheet leaves to the format, the roastery and the length of the texts.

    Args:
        symbol: for its width.
        house: for its accent.
        paper: the format.
        type_pt: type size of every side in points.
    """
    live = paper.height_mm - 2 * paper.margin_mm
    # Without a bleed there is no edge at all: printers draw a hairline for one that is nought high.
    edge = f"section::before{{height:{paper.bleed_mm + _EDGE_MM}mm;content:''}}" if paper.bleed_mm else ""
    sizes = "".join(f"--{side}-type:{size}pt;" for side, size in type_pt.items())
    return (
        f"@page{{size:{paper.width_mm}mm {paper.height_mm}mm;margin:{paper.margin_mm}mm;bleed:{paper.bleed_mm}mm}}"
        f":root{{--live-height:{live}mm;--margin:{paper.margin_mm}mm;--bleed:{paper.bleed_mm}mm;"
        f"--symbol:{symbol_width_mm(symbol, paper)}mm;"
        f"--drawing:{paper.drawing_mm}mm;--accent:{house.accent};{sizes}}}{edge}"
    )


def _front(sheet: GuideSheet, lot: LotFacts, address: PrintedAddress, symbol: qr.Symbol) -> dict[str, object]:
    return {
        **_of_lot(sheet, lot, address),
        "facts": [*sheet.ingredients, *(fact for fact in sheet.targets if fact.key in _RATIOS)],
        "symbol": drawn(symbol.svg(gettext("Code that leads to this guide"))),
        # What hurts most stands on the front; the rest has its place on the back.
        "cautions": [*sheet.cautions, *sheet.safety_on_paper[:1]],
    }


def _of_lot(sheet: GuideSheet, lot: LotFacts, address: PrintedAddress) -> dict[str, object]:
    """All that differs between two lots of one guide, but for the symbol."""
    figures = Figures(sheet.language)
    return {
        # Directive 2011/91/EU: the indication of the lot is preceded by the letter L.
        "lot_line": f"L\N{NO-BREAK SPACE}{lot.name}",
        "window_line": gettext("roasted %(day)s, at its best %(window)s")
        % {"day": figures.date(lot.roasted_on), "window": lot.window},
        "roasted_line": gettext("roasted %(day)s") % {"day": figures.short_date(lot.roasted_on)},
        "best_line": gettext("best %(window)s") % {"window": lot.short_window},
        "code_letters": f"{address.code[:4]}\N{NO-BREAK SPACE}{address.code[4:]}",
        "typed_address": f"{address.site.partition('//')[2]}/L/{address.code}",
    }


def _back(sheet: GuideSheet, paper: Format, mark: str) -> dict[str, object]:
    return {
        # Outside a page there is no font for a drawing to inherit.
        "drawing": drawn(sheet.plan_drawing.replace("<svg ", f'<svg font-family="{STACK}" ', 1)),
        "figures": [*(fact for fact in sheet.targets if fact.key not in _RATIOS), *sheet.predictions],
        "why": prose.html(sheet.why),
        "reasons": [step for step in sheet.steps if step.why],
        "safety": sheet.safety_on_paper[1:],
        "edition": ", ".join(filter(None, [edition(sheet), mark])),
        **(ruler(paper.ruler_mm) if paper.ruler_mm else {}),
    }


def drawn(svg: str) -> SafeString:
    """Our own drawings: their words are escaped where they are made."""
    return mark_safe(svg)  # noqa: S308


def edition(sheet: GuideSheet) -> str:
    """Which paper this is, for whoever finds it in a drawer."""
    if sheet.revision is None:
        return gettext("Guide %(number)d, draft, %(language)s") % {
            "number": sheet.guide_number,
            "language": sheet.language,
        }
    return gettext("Guide %(number)d, revision %(revision)d, %(day)s, %(language)s") % {
        "number": sheet.guide_number,
        "revision": sheet.revision,
        "day": sheet.published_on.isoformat() if sheet.published_on else "",
        "language": sheet.language,
    }


def ruler(length_mm: float) -> dict[str, object]:
    """A line of known length with a tick every 10 mm, to hold a ruler against, and what to say beside it."""
    label = gettext("Line to check the printed size")
    ticks = "".join(f"M{0.2 + place} 0v2.4" for place in range(0, int(length_mm) + 1, 10))
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{length_mm + 0.4}mm" height="2.4mm" '
        f'viewBox="0 0 {length_mm + 0.4} 2.4"><title>{label}</title>'
        f'<path d="{ticks}M0.2 1.2h{length_mm}" fill="none" stroke="#000" stroke-width="0.2"/></svg>'
    )
    words = gettext("%(length)d mm when printed at 100 %%") % {"length": length_mm}
    words = re.sub(r"(?<=\d) ", NO_BREAK, words)
    return {"ruler": drawn(drawing), "ruler_words": words}
