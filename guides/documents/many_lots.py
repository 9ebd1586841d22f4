"""The same guide for many lots on the same sheets: laid out once, stamped for each, every symbol read back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Flip
from guides.models import GuideVersion, Lot
from guides.presenters import guide_sheet
from guides.queries import lots

from . import choices, compose, preflight, printable
from .errors import InsertRefused
from .expected import expected_on
from .formats import Format
from .imposing import Copies, impose
from .insert import address_on
from .painting import symbol_of
from .preflight import Promise
from .rulers import ruler_pdf
from .sheets import Layout, SheetPaper, Stock
from .stamping import Bag, Stamped, stamped


@dataclass(frozen=True)
class ManyLots:
    """What is printed: so many copies for each lot, in the order of the lots."""

    lots: Sequence[Lot]
    version: GuideVersion
    language: str
    paper: Format
    copies: int
    sheet: SheetPaper | Stock
    flip: Flip = Flip.LONG
    skip: int = 0


def many_pdf(order: ManyLots, report: Callable[[int, int], None] = lambda done, total: None) -> bytes:
    """Make the sheets of many lots.

    Args:
        order: what to print.
        report: told how many of how many steps are done; it may stop the work by raising.

    Raises:
        InsertRefused: a lot or the guide is not to be printed, something does not fit, or the finished file does not
            read back as it should.
    """
    layout = choices.layout_on(order.sheet, order.paper)
    if layout is None:
        raise InsertRefused([choices.why_not_on(order.sheet)])
    if not 0 <= order.skip < layout.per_sheet:
        text = _("A sheet has {places} places; at most {most} of them can be used up.")
        raise InsertRefused([format_lazy(text, places=layout.per_sheet, most=layout.per_sheet - 1)])
    report(0, 4)
    bags = bags_for(order.lots, order.version, order.language, order.paper)
    report(1, 4)
    inserts = stamped([made for made, _promise in bags], compose.identity(), order.paper)
    report(2, 4)
    wanted = [Copies(pages, order.copies) for pages in inserts.pages]
    ruler = ruler_pdf(order.language) if isinstance(order.sheet, SheetPaper) else None
    whole = impose(inserts.pdf, wanted, layout, flip=order.flip, skip=order.skip, ruler=ruler)
    report(3, 4)
    preflight.check_run(whole, _expected(order, layout, bags, inserts))
    report(4, 4)
    return whole


def bags_for(wanted: Sequence[Lot], version: GuideVersion, language: str, paper: Format) -> list[tuple[Bag, Promise]]:
    """Write what differs between the lots of one guide, and what the symbol of each promises.

    Raises:
        InsertRefused: a lot or the guide is not to be printed; every such lot is named.
    """
    if not wanted:
        raise InsertRefused([_("No lot is named, so there is nothing to print.")])
    sheet = guide_sheet.build(version, lot=wanted[0], language=language, today=wanted[0].roasted_on)
    printable.refuse_untranslated(sheet)
    made: list[tuple[Bag, Promise]] = []
    reasons: list[object] = []
    for lot in wanted:
        code = lots.code_of(lot)
        try:
            printable.refuse_lot(lot, code)
            printable.refuse_version(lot, version)
        except InsertRefused as refused:
            reasons += refused.reasons
            continue
        address = address_on(paper, lot, code, version, language)
        # Days are counted from roasting, as on a single insert.
        facts = guide_sheet.lot_facts(lot, code, language, lot.roasted_on)
        bag = Bag(replace(sheet, lot=facts), address, symbol_of(address))
        made.append((bag, Promise(address, lot, version)))
    if reasons:
        raise InsertRefused(reasons)
    return made


def _expected(order: ManyLots, layout: Layout, bags: list[tuple[Bag, Promise]], inserts: Stamped) -> preflight.Run:
    wanted = [(str(promise.address), order.copies) for _bag, promise in bags]
    sides = len(order.paper.sides)
    return preflight.Run(
        promises={str(promise.address): promise for _bag, promise in bags},
        symbols=tuple(expected_on(wanted, layout.per_sheet, order.skip, sides, {inserts.symbol_side})),
        size_mm=(layout.paper.width_mm, layout.paper.height_mm),
    )
