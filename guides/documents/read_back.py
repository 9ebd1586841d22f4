"""A finished PDF as a printer and a phone would see it: page sizes, letters, language and every symbol on it.

PDFium and ZXing had no part in making it. PDFium works for one thread at a time.
"""

from __future__ import annotations

import ctypes
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import pypdfium2
import zxingcpp
from PIL.Image import Image as Picture
from pypdfium2 import raw

MM_PER_POINT = 25.4 / 72
_DPI = 300
# No Micro QR: parts of a drawing or of a code pass for it now and then, as it has one corner only.
_FORMATS = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCodeModel2)
_one_at_a_time = threading.Lock()


@dataclass(frozen=True)
class ReadSymbol:
    """A symbol found on a page. ``module_mm`` is the width of one of its modules on paper."""

    page: int
    text: str
    module_mm: float


@dataclass(frozen=True)
class ReadFont:
    """Letters that a page uses. ``name`` is without the mark of a subset."""

    name: str
    embedded: bool


@dataclass(frozen=True)
class ReadBack:
    """What was read. Sizes of pages in mm as they are cut, and ``bleeds_mm`` the least that each reaches over its cuts.

    ``language`` is the document's, ``tagged`` whether it has a structure.
    """

    sizes_mm: tuple[tuple[float, float], ...]
    bleeds_mm: tuple[float, ...]
    symbols: tuple[ReadSymbol, ...]
    fonts: frozenset[ReadFont]
    language: str
    tagged: bool


def read(pdf: bytes, dpi: int = _DPI, report: Callable[[int], None] = lambda pages: None) -> ReadBack:
    """Read a finished PDF.

    Args:
        pdf: the file.
        dpi: how finely symbols are looked at.
        report: told how many pages are read; it may stop the work by raising.

    Raises:
        pypdfium2.PdfiumError: not a PDF that can be read.
    """
    with _one_at_a_time:
        document = pypdfium2.PdfDocument(pdf)
        try:
            pages = list(document)
            return ReadBack(
                sizes_mm=tuple(_size_mm(page) for page in pages),
                bleeds_mm=tuple(_bleed_mm(page) for page in pages),
                symbols=tuple(_all_symbols(pages, dpi, report)),
                fonts=frozenset(font for page in pages for font in _fonts(page)),
                language=_language(document),
                tagged=bool(raw.FPDFCatalog_IsTagged(document)),
            )
        finally:
            document.close()


def pages(pdf: bytes, dpi: int) -> list[Picture]:
    """Give every page of a PDF as a picture.

    Raises:
        pypdfium2.PdfiumError: not a PDF that can be read.
    """
    with _one_at_a_time:
        document = pypdfium2.PdfDocument(pdf)
        try:
            return [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]
        finally:
            document.close()


def _size_mm(page: pypdfium2.PdfPage) -> tuple[float, float]:
    left, bottom, right, top = page.get_trimbox()
    return (right - left) * MM_PER_POINT, (top - bottom) * MM_PER_POINT


def _bleed_mm(page: pypdfium2.PdfPage) -> float:
    trim, media = page.get_trimbox(), page.get_mediabox()
    return min(abs(cut - edge) for cut, edge in zip(trim, media, strict=True)) * MM_PER_POINT


def _all_symbols(pages: Sequence[pypdfium2.PdfPage], dpi: int, report: Callable[[int], None]) -> Iterator[ReadSymbol]:
    for number, page in enumerate(pages):
        yield from _symbols(number, page, dpi)
        report(number + 1)


def _symbols(number: int, page: pypdfium2.PdfPage, dpi: int) -> list[ReadSymbol]:
    picture = page.render(scale=dpi / 72, grayscale=True).to_pil()
    found = zxingcpp.read_barcodes(picture, formats=_FORMATS, try_invert=False)
    return [ReadSymbol(number, symbol.text, _module_mm(symbol, dpi)) for symbol in found]


def _module_mm(symbol: zxingcpp.Barcode, dpi: int) -> float:
    corners = symbol.position
    across = hypot(corners.top_right.x - corners.top_left.x, corners.top_right.y - corners.top_left.y)
    extra: Any = symbol.extra
    # ISO/IEC 18004: version 1 is 21 modules across, and each further one adds four.
    return across / dpi * 25.4 / (17 + 4 * int(extra["Version"]))


def _fonts(page: pypdfium2.PdfPage) -> list[ReadFont]:
    fonts = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=8):
        font = raw.FPDFTextObj_GetFont(item)
        name = ctypes.create_string_buffer(200)
        raw.FPDFFont_GetBaseFontName(font, name, 200)
        fonts.append(ReadFont(name.value.decode().rpartition("+")[2], raw.FPDFFont_GetIsEmbedded(font) == 1))
    return fonts


def _language(document: pypdfium2.PdfDocument) -> str:
    size = raw.FPDFCatalog_GetLanguage(document, None, 0)
    if size <= 2:
        return ""
    text = ctypes.create_string_buffer(size)
    raw.FPDFCatalog_GetLanguage(document, ctypes.cast(text, ctypes.POINTER(raw.FPDF_WCHAR)), size)
    return text.raw[: size - 2].decode("utf-16-le")
