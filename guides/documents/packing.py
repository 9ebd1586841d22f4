"""A packing run on paper: one insert made once, laid out on sheets under a cover slip, and read back whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from itertools import chain, islice, repeat

import pikepdf
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Flip
from guides.models import GuideVersion, Lot, PackingRun
from guides.queries import house, lots

from . import choices, preflight, read_back
from .cover import Beneath, cover_pdf
from .errors import InsertRefused
from .formats import Format
from .imposing import Copies, impose
from .insert import address_on, inserts_pdf
from .sheets import Layout, SheetPaper, Stock, own_size


@dataclass(frozen=True)
class Order:
    """What a packing run prints.

    ``sheet`` is plain paper that is cut afterwards, or stock that is cut already; ``None`` for paper that has the
    format's own size.
    """

    lot: Lot
    version: GuideVersion
    language: str
    paper: Format
    copies: int
    sheet: SheetPaper | Stock | None = None
    flip: Flip = Flip.LONG
    skip: int = 0
    mark: str = ""

    @property
    def layout(self) -> Layout:
        """Where copies lie.

        Raises:
            InsertRefused: the format does not go on the sheet.
        """
        if self.sheet is None:
            return own_size(self.paper)
        found = choices.layout_on(self.sheet, self.paper)
        if found is None:
            text = _("{format}: {reason}")
            raise InsertRefused([format_lazy(text, format=self.paper.name, reason=choices.why_not_on(self.sheet))])
        return found

    @property
    def sheets(self) -> int:
        """How many sheets of paper the copies take, without the cover slip."""
        return -(-(self.copies + self.skip) // self.layout.per_sheet)


def order_of(run: PackingRun) -> Order:
    """Give what a run orders.

    Raises:
        InsertRefused: a format or sheet that is not known any more.
    """
    sheet = choices.sheet(run.sheet)
    paper = choices.format_of(run.paper)
    if paper is None or (run.sheet and sheet is None):
        text = _("Format: “{key}” is not known. Order the run again in another format.")
        raise InsertRefused([format_lazy(text, key=f"{run.paper} {run.sheet}".strip())])
    return Order(
        lot=run.lot,
        version=run.version,
        language=run.language,
        paper=paper,
        copies=run.copies,
        sheet=sheet,
        flip=Flip(run.flip),
        skip=run.skip,
        mark=run.mark,
    )


def run_pdf(order: Order, report: Callable[[int, int], None] = lambda done, total: None) -> bytes:
    """Make the finished file of a packing run.

    Args:
        order: what to print.
        report: told how many of how many steps are done; it may stop the work by raising.

    Raises:
        InsertRefused: not to be printed, or the finished file does not read back as it should.
    """
    report(0, 4)
    single = _single(order)
    report(1, 4)
    sheets = _imposed(order, single)
    report(2, 4)
    # Stock is not wasted on a slip: each label says which lot it is of.
    covered = isinstance(order.sheet, SheetPaper)
    covers = [cover_pdf(_beneath(order), order.layout.paper, _house_language())] if covered else []
    whole = _stacked([*covers, sheets], two_sided=len(order.paper.sides) == 2)
    report(3, 4)
    preflight.check_run(whole, _expected(order, single, covered=bool(covers)))
    report(4, 4)
    return whole


def sheets_pdf(order: Order) -> bytes:
    """Make the sheets of a run alone, without the slip; they are not read back and not for the printer.

    Raises:
        InsertRefused: not to be printed, or a text that does not fit.
    """
    return _imposed(order, _single(order))


def _single(order: Order) -> bytes:
    return inserts_pdf(order.lot, [(order.version, order.language)], order.paper, order.mark)


def _imposed(order: Order, single: bytes) -> bytes:
    sides = tuple(range(len(order.paper.sides)))
    return impose(single, [Copies(sides, order.copies)], order.layout, flip=order.flip, skip=order.skip)


def _expected(order: Order, single: bytes, *, covered: bool) -> preflight.Run:
    """What every page of the run must say, from where the symbol stands on one insert."""
    code, sides = lots.code_of(order.lot), len(order.paper.sides)
    address = address_on(order.paper, order.lot, code, order.version, order.language)
    with_symbol = {symbol.page for symbol in read_back.read(single).symbols}
    wanted = [(str(address), order.copies)]
    return preflight.Run(
        promises={str(address): preflight.Promise(address, order.lot, order.version)},
        symbols=tuple(expected_on(wanted, order.layout.per_sheet, order.skip, sides, with_symbol)),
        size_mm=(order.layout.paper.width_mm, order.layout.paper.height_mm),
        cover_pages=sides if covered else 0,
        cover_code=code,
    )


def expected_on(
    wanted: Iterable[tuple[str, int]], per_sheet: int, skip: int, sides: int, with_symbol: Container[int]
) -> Iterator[Mapping[str, int]]:
    """Give how often each address must be on each page, for copies that are laid out in this order.

    Args:
        wanted: addresses, and how many copies carry each.
        per_sheet: places on a sheet.
        skip: places of the first sheet that are used up.
        sides: of a copy.
        with_symbol: the sides that carry it, the first being 0.
    """
    cards = chain([""] * skip, *(repeat(address, copies) for address, copies in wanted))
    while sheetful := list(islice(cards, per_sheet)):
        on_sheet = Counter(filter(None, sheetful))
        yield from (on_sheet if side in with_symbol else Counter() for side in range(sides))


def _beneath(order: Order) -> Beneath:
    return Beneath(
        lot=order.lot,
        version=order.version,
        language=order.language,
        paper=order.paper,
        copies=order.copies,
        sheets=order.sheets,
        per_sheet=order.layout.per_sheet,
        flip=order.flip,
        skip=order.skip,
        mark=order.mark,
    )


def _house_language() -> str:
    return house.current().languages[0]


def _stacked(parts: list[bytes], *, two_sided: bool) -> bytes:
    """Put files on top of each other; a cover slip has an empty back where the rest has two sides."""
    with pikepdf.new() as stack:
        for place, part in enumerate(parts):
            with pikepdf.open(BytesIO(part)) as pages:
                stack.pages.extend(pages.pages)
            if two_sided and place < len(parts) - 1:
                box = stack.pages[-1].mediabox
                stack.add_blank_page(page_size=(float(box[2]), float(box[3])))
        whole = BytesIO()
        stack.save(whole, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
        return whole.getvalue()
