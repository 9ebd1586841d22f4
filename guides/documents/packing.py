"""Packing runs on paper: every distinct insert made once, laid out on sheets under a slip, and read back whole.

Runs of several lots may share a file. Each lot lies on sheets of its own under its own slip, in the order given, and
what lots have in common is laid out once for all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from io import BytesIO
from itertools import islice

import pikepdf
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.presenters import addresses
from guides.queries import house, lots

from . import compose, finished, preflight, read_back
from .cover import Beneath, covers_pdf
from .errors import InsertRefused
from .expected import expected_on
from .imposing import Copies, impose
from .insert import address_on, inserts_pdf
from .many_lots import bags_for
from .orders import Order
from .preflight import Promise
from .rulers import ruler_pdf
from .sheets import SheetPaper
from .stamping import stamped

_MAKING = 3  # steps before the first page is read back
_SLIPS_AT_ONCE = 20


@dataclass(frozen=True)
class _Inserts:
    """A file with every distinct insert once: the pages of each order in it, and what each promises."""

    pdf: bytes
    pages: tuple[tuple[int, ...], ...]
    with_symbol: frozenset[int]
    promises: tuple[Promise, ...]


def run_pdf(order: Order, report: Callable[[int, int], None] = lambda done, total: None) -> bytes:
    """Make the finished file of a packing run of one lot.

    Raises:
        InsertRefused: as by ``runs_pdf``.
    """
    return runs_pdf([order], report)


def runs_pdf(orders: Sequence[Order], report: Callable[[int, int], None] = lambda done, total: None) -> bytes:
    """Make the finished file of packing runs that are printed together.

    Args:
        orders: what to print, in the order packed; each of another lot, all in one format on one kind of sheet.
        report: told how many of how many steps are done; it may stop the work by raising.

    Raises:
        InsertRefused: not to be printed, or the finished file does not read back as it should. Of several lots, the
            reasons say which lot they are about.
    """
    total = _MAKING + sum(_page_count(order) for order in orders)
    report(0, total)
    inserts = _alone(orders[0]) if len(orders) == 1 else _for_many(orders, lambda: report(0, total))
    report(1, total)
    sheets = _imposed(orders, inserts)
    report(2, total)
    whole = _stacked(orders, _slips(orders, lambda: report(2, total)), sheets)
    report(_MAKING, total)
    preflight.check_run(whole, _expected(orders, inserts), lambda done: report(min(_MAKING + done, total), total))
    return whole


def sheets_pdf(order: Order) -> bytes:
    """Make the sheets of a run alone, without the slip; they are not read back and not for the printer.

    Raises:
        InsertRefused: not to be printed, or a text that does not fit.
    """
    return _imposed([order], _alone(order))


def _is_covered(order: Order) -> bool:
    """Stock is not wasted on a slip: each label says which lot it is of."""
    return isinstance(order.sheet, SheetPaper)


def _sides(order: Order) -> int:
    return len(order.paper.sides)


def _page_count(order: Order) -> int:
    return _sides(order) * (order.sheets + _is_covered(order))


def _promise(order: Order) -> Promise:
    code = lots.code_of(order.lot)
    return Promise(address_on(order.paper, order.lot, code, order.version, order.language), order.lot, order.version)


def _alone(order: Order) -> _Inserts:
    """One lot's insert, tagged for screen readers and kept for the next time."""
    single = inserts_pdf(order.lot, [(order.version, order.language)], order.paper, order.mark)
    with_symbol = frozenset(symbol.page for symbol in read_back.read(single).symbols)
    return _Inserts(single, (tuple(range(_sides(order))),), with_symbol, (_promise(order),))


def _for_many(orders: Sequence[Order], beat: Callable[[], None]) -> _Inserts:
    """Lay each guide out once and stamp it for its lots; ``beat`` is called after each."""
    guides: dict[tuple[int, str], list[int]] = {}
    for place, order in enumerate(orders):
        guides.setdefault((order.version.pk, order.language), []).append(place)
    pages: dict[int, tuple[int, ...]] = {}
    promises: dict[int, Promise] = {}
    with_symbol = set()
    reasons: list[object] = []
    with ExitStack() as files, pikepdf.new() as whole:
        for places in guides.values():
            first, own = orders[places[0]], [orders[place].lot for place in places]
            try:
                bags = bags_for(own, first.version, first.language, first.paper)
            except InsertRefused as refused:
                reasons += refused.reasons
                continue
            try:
                made = stamped([bag for bag, _promise in bags], compose.identity(), first.paper)
            except InsertRefused as refused:
                named = ", ".join(lot.name for lot in own)
                reasons += [format_lazy(_("{lots}: {reason}"), lots=named, reason=why) for why in refused.reasons]
                continue
            before = len(whole.pages)
            whole.pages.extend(files.enter_context(pikepdf.open(BytesIO(made.pdf))).pages)
            for place, sides, (_bag, promise) in zip(places, made.pages, bags, strict=True):
                pages[place] = tuple(before + side for side in sides)
                promises[place] = promise
            with_symbol.add(made.symbol_side)
            beat()
        if reasons:
            raise InsertRefused(reasons)
        order_of_lots = range(len(orders))
        return _Inserts(
            pdf=finished.bytes_of(whole),
            pages=tuple(pages[place] for place in order_of_lots),
            with_symbol=frozenset(with_symbol),
            promises=tuple(promises[place] for place in order_of_lots),
        )


def _imposed(orders: Sequence[Order], inserts: _Inserts) -> bytes:
    first = orders[0]
    wanted = [Copies(pages, order.copies) for pages, order in zip(inserts.pages, orders, strict=True)]
    ruler = ruler_pdf(_house_language()) if _is_covered(first) else None
    return impose(inserts.pdf, wanted, first.layout, flip=first.flip, skip=first.skip, apart=True, ruler=ruler)


def _slips(orders: Sequence[Order], beat: Callable[[], None]) -> list[bytes]:
    """One slip for each lot, some in each file; none where there are none. ``beat`` is called after each file."""
    files = []
    for start in range(0, len(orders), _SLIPS_AT_ONCE) if _is_covered(orders[0]) else ():
        some = enumerate(orders[start : start + _SLIPS_AT_ONCE], start=start + 1)
        slips = [_beneath(order, place, len(orders)) for place, order in some]
        files.append(covers_pdf(slips, orders[0].layout.paper, _house_language()))
        if start + _SLIPS_AT_ONCE < len(orders):
            beat()
    return files


def _house_language() -> str:
    return house.current().languages[0]


def _beneath(order: Order, place: int, of: int) -> Beneath:
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
        place=place,
        of=of,
    )


def _stacked(orders: Sequence[Order], slips: Sequence[bytes], sheets: bytes) -> bytes:
    """Put each lot's sheets under its slip, which has an empty back where they have two sides.

    A file of several lots has a bookmark where each begins.
    """
    with ExitStack() as files, pikepdf.new() as stack:
        covers, rest = (
            iter([page for part in parts for page in files.enter_context(pikepdf.open(BytesIO(part))).pages])
            for parts in (slips, [sheets])
        )
        begins = {}
        for order in orders:
            begins[order.lot.name] = len(stack.pages)
            if slips:
                stack.pages.append(next(covers))
                if _sides(order) == 2:
                    box = stack.pages[-1].mediabox
                    stack.add_blank_page(page_size=(float(box[2]), float(box[3])))
            stack.pages.extend(islice(rest, order.sheets * _sides(order)))
        if len(orders) > 1:
            with stack.open_outline() as outline:
                outline.root.extend(pikepdf.OutlineItem(name, page) for name, page in begins.items())
        return finished.bytes_of(stack)


def _expected(orders: Sequence[Order], inserts: _Inserts) -> preflight.Run:
    """What every page must say."""
    pages: list[Mapping[str, int]] = []
    slips = set()
    for order, promise in zip(orders, inserts.promises, strict=True):
        if _is_covered(order):
            slips.add(len(pages))
        pages.extend(_expected_of(order, promise, inserts.with_symbol))
    paper = orders[0].layout.paper
    return preflight.Run(
        promises={str(promise.address): promise for promise in inserts.promises},
        symbols=tuple(pages),
        size_mm=(paper.width_mm, paper.height_mm),
        slips=frozenset(slips),
    )


def _expected_of(order: Order, promise: Promise, with_symbol: frozenset[int]) -> Iterator[Mapping[str, int]]:
    if _is_covered(order):
        yield {str(addresses.of_lot(lots.code_of(order.lot))): 1}
        yield from ({} for _back in range(_sides(order) - 1))
    wanted = [(str(promise.address), order.copies)]
    yield from expected_on(wanted, order.layout.per_sheet, order.skip, _sides(order), with_symbol)
