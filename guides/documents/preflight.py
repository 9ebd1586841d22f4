"""The last look before a paper is handed over: the finished file is read back, and every symbol followed.

Decoding proves what a symbol says, not how well it is printed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import pypdfium2
from django.urls import Resolver404, resolve
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.codes import digital_link
from guides.models import GuideVersion, Lot
from guides.presenters import addresses
from guides.presenters.addresses import PrintedAddress
from guides.queries import lots, versions

from .errors import InsertRefused
from .formats import MODULE_MM, Format
from .read_back import ReadBack, ReadFont, ReadSymbol, read
from .typefaces import FAMILIES

_PAGE_TOLERANCE_MM = 0.1
_RUN_DPI = 200  # a module of half a millimetre is four dots wide
_OUR_FONTS = tuple(family.replace(" ", "-") for family in FAMILIES)


@dataclass(frozen=True)
class Promise:
    """What one symbol on a paper must lead to."""

    address: PrintedAddress
    lot: Lot
    version: GuideVersion


@dataclass(frozen=True)
class Run:
    """What a packing run must read back as.

    ``symbols`` says of each page how often each address is on it, ``promises`` what the addresses of inserts lead to.
    ``size_mm`` is that of every page; ``slips`` are the pages that lie on top of a lot's sheets.
    """

    promises: Mapping[str, Promise]
    symbols: tuple[Mapping[str, int], ...]
    size_mm: tuple[float, float]
    slips: frozenset[int] = frozenset()


def check_run(pdf: bytes, run: Run, report: Callable[[int], None] = lambda pages: None) -> None:
    """Read a packing run back: every symbol on every sheet.

    Args:
        pdf: the file.
        run: what it must read back as.
        report: told how many pages are read; it may stop the work by raising.

    Raises:
        InsertRefused: with every reason why it must not be printed.
    """
    found = _read(pdf, _RUN_DPI, report)
    reasons = [
        *_page_count(found, len(run.symbols)),
        *_page_sizes(found, run.size_mm),
        *_fonts(found.fonts),
        *_run_symbols(found, run),
    ]
    if reasons:
        raise InsertRefused(reasons)


def check_sheet(pdf: bytes, text: str, paper: Format, language: str) -> None:
    """Read a finished paper back that goes with no lot; where its one symbol leads is for the caller to see.

    Args:
        pdf: the file.
        text: what the symbol must say.
        paper: the format it was made in.
        language: the language it is in.

    Raises:
        InsertRefused: with every reason why it must not be printed.
    """
    found = _read(pdf)
    reasons = [
        *_page_count(found, len(paper.sides)),
        *_page_sizes(found, (paper.width_mm, paper.height_mm)),
        *_fonts(found.fonts),
        *_for_screen_readers(found, language),
        *(reason for symbol in found.symbols for reason in _size(symbol)),
    ]
    if [symbol.text for symbol in found.symbols] != [text]:
        reasons.append(format_lazy(_("The code for {text} cannot be read from the finished file."), text=text))
    if reasons:
        raise InsertRefused(reasons)


def check(pdf: bytes, promises: Sequence[Promise], paper: Format, language: str) -> None:
    """Read a finished paper back.

    Args:
        pdf: the file.
        promises: its symbols, one each.
        paper: the format it was made in.
        language: the language it is in.

    Raises:
        InsertRefused: with every reason why it must not be printed.
    """
    found = _read(pdf)
    reasons = [
        *_page_count(found, len(promises) * len(paper.sides)),
        *_page_sizes(found, (paper.width_mm, paper.height_mm)),
        *_bleeds(found, paper.bleed_mm),
        *_fonts(found.fonts),
        *_for_screen_readers(found, language),
        *_symbols(found, promises),
    ]
    if reasons:
        raise InsertRefused(reasons)


def _read(pdf: bytes, dpi: int = 300, report: Callable[[int], None] = lambda pages: None) -> ReadBack:
    try:
        return read(pdf, dpi, report)
    except pypdfium2.PdfiumError as error:
        raise InsertRefused([format_lazy(_("The finished file cannot be read: {error}."), error=error)]) from error


def _page_count(found: ReadBack, expected: int) -> Iterator[object]:
    if len(found.sizes_mm) != expected:
        yield format_lazy(
            _("The finished file has {found} pages instead of {expected}."),
            found=len(found.sizes_mm),
            expected=expected,
        )


def _page_sizes(found: ReadBack, expected: tuple[float, float]) -> Iterator[object]:
    for number, (width, height) in enumerate(found.sizes_mm, start=1):
        if max(abs(width - expected[0]), abs(height - expected[1])) > _PAGE_TOLERANCE_MM:
            yield format_lazy(
                _("Page {number} is {width} × {height} mm instead of {expected_width} × {expected_height} mm."),
                number=number,
                width=round(width, 1),
                height=round(height, 1),
                expected_width=expected[0],
                expected_height=expected[1],
            )


def _bleeds(found: ReadBack, expected: float) -> Iterator[object]:
    for number, bleed in enumerate(found.bleeds_mm, start=1):
        if abs(bleed - expected) > _PAGE_TOLERANCE_MM:
            text = _("Page {number} reaches {found} mm over its cuts instead of {expected} mm.")
            yield format_lazy(text, number=number, found=round(bleed, 1), expected=expected)


def _run_symbols(found: ReadBack, run: Run) -> Iterator[object]:
    on_page = [Counter[str]() for _page in run.symbols]
    for symbol in found.symbols:
        if symbol.page < len(on_page) and symbol.text in run.symbols[symbol.page]:
            on_page[symbol.page][symbol.text] += 1
            yield from _size(symbol)
        elif symbol.page in run.slips:
            yield format_lazy(_("The code on the cover slip says {text}, which is another lot."), text=symbol.text)
        else:
            yield format_lazy(
                _("The code on page {page} says {text}, which does not belong on this paper."),
                page=symbol.page + 1,
                text=symbol.text,
            )
    for page, (read_there, wanted) in enumerate(zip(on_page, run.symbols, strict=True), start=1):
        if read_there != Counter(wanted):
            text = _("Page {page}: {found} codes can be read, and there should be {wanted}.")
            yield format_lazy(text, page=page, found=read_there.total(), wanted=sum(wanted.values()))
    for expected, promise in run.promises.items():
        yield from _followed(expected, promise)


def _fonts(fonts: frozenset[ReadFont]) -> Iterator[object]:
    if not fonts:
        yield _("The finished file holds no letters.")
    for font in sorted(fonts, key=lambda font: font.name):
        if not font.embedded:
            yield format_lazy(_("The letters “{font}” are not in the finished file."), font=font.name)
        elif not font.name.startswith(_OUR_FONTS):
            yield format_lazy(
                _("A character is set in “{font}”, which is not one of our letters. Write it another way."),
                font=font.name,
            )


def _for_screen_readers(found: ReadBack, language: str) -> Iterator[object]:
    if not found.tagged:
        yield _("The finished file has no structure that a screen reader could follow.")
    if found.language != language:
        yield format_lazy(
            _("The finished file says it is in “{found}” instead of “{expected}”."),
            found=found.language,
            expected=language,
        )


def _symbols(found: ReadBack, promises: Sequence[Promise]) -> Iterator[object]:
    # Several papers of one lot may carry one and the same Digital Link.
    waiting: dict[str, list[Promise]] = defaultdict(list)
    for promise in promises:
        waiting[str(promise.address)].append(promise)
    for symbol in found.symbols:
        meant = waiting.get(symbol.text)
        if not meant:
            yield format_lazy(
                _("The code on page {page} says {text}, which does not belong on this paper."),
                page=symbol.page + 1,
                text=symbol.text,
            )
            continue
        yield from _size(symbol)
        yield from _followed(symbol.text, meant.pop())
    for text in (text for text, missing in waiting.items() for _promise in missing):
        yield format_lazy(_("The code for {text} cannot be read from the finished file."), text=text)


def _size(symbol: ReadSymbol) -> Iterator[object]:
    # A twentieth for the width of a dot at the resolution it is read at.
    if symbol.module_mm < MODULE_MM * 0.95:
        yield format_lazy(
            _("The code for {text} is too small: its squares are {found} mm wide, and {least} mm is the least."),
            text=symbol.text,
            found=round(symbol.module_mm, 2),
            least=MODULE_MM,
        )


def _followed(text: str, promise: Promise) -> Iterator[object]:
    """Go where the symbol leads, inside the site, and compare."""
    if promise.address.pack:
        yield from _pack_followed(text, promise)
        return
    address = addresses.read(text)
    if address is None or address.site != promise.address.site.lower():
        yield format_lazy(_("The code says {text}, which is no address of this site."), text=text)
        return
    lot = lots.by_code(address.code)
    if lot is None or lot.pk != promise.lot.pk:
        yield format_lazy(_("The code for {text} leads to lot {lot} instead."), text=text, lot=lot or "–")
    if address.edition and promise.address.edition:
        version = versions.printed(address.edition.guide, address.edition.revision)
        if version is None or version.pk != promise.version.pk:
            yield format_lazy(_("The code for {text} leads to {version} instead."), text=text, version=version or "–")
    if address.edition != promise.address.edition:
        yield format_lazy(_("The code for {text} names another edition."), text=text)
    try:
        resolve(address.path)
    except Resolver404:
        yield format_lazy(_("No page answers {path}: whoever scans this code would meet an error."), path=address.path)


def _pack_followed(text: str, promise: Promise) -> Iterator[object]:
    """The same for a GS1 Digital Link, which names no edition and is silent about lots that are not shown."""
    if text != str(promise.address):
        yield format_lazy(_("The code says {text}, which is no address of this site."), text=text)
        return
    named = digital_link.parse(promise.address.path)
    lot = lots.by_pack(named.gtin, named.lot)
    if lot is None or lot.pk != promise.lot.pk:
        yield format_lazy(_("The code for {text} leads to lot {lot} instead."), text=text, lot=lot or "–")
    elif not lot.is_public:
        yield format_lazy(
            _("Lot {lot} is not shown to customers, and its Digital Link leads nowhere until it is. Show it first."),
            lot=lot,
        )
