"""QR symbols (ISO/IEC 18004): an address as a matrix of modules and as one vector path.

Addresses are written whole in upper case, so that alphanumeric mode holds them one version smaller. Level M: at a
fixed printed size larger modules read better than more correction. Dark on light, four light modules all around.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import qrcode
from qrcode.constants import ERROR_CORRECT_M
from qrcode.exceptions import DataOverflowError
from qrcode.util import MODE_8BIT_BYTE, MODE_ALPHA_NUM, QRData

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
LEVEL = "M"
QUIET_ZONE = 4


class NotEncodable(ValueError):
    """The text has a character outside the alphanumeric set, or is longer than any symbol holds."""


@dataclass(frozen=True)
class Symbol:
    """One symbol. ``modules`` is a square of rows, true where dark, without the quiet zone."""

    text: str
    version: int
    mask: int
    modules: tuple[tuple[bool, ...], ...]
    level: str = LEVEL

    @property
    def side(self) -> int:
        """Modules across, quiet zone included."""
        return len(self.modules) + 2 * QUIET_ZONE

    def module_mm(self, width_mm: float) -> float:
        """Return the width of a module when the whole symbol with its quiet zone is ``width_mm`` across.

        Args:
            width_mm: millimetres.

        Returns:
            Millimetres.
        """
        return width_mm / self.side

    def runs(self) -> Iterator[tuple[int, int, int]]:
        """Return every run of dark modules in a row, in modules from the upper left, quiet zone included.

        Returns:
            Column and row of the first, and how many there are.
        """
        for y, row in enumerate(self.modules, QUIET_ZONE):
            start = None
            for x, dark in enumerate((*row, False), QUIET_ZONE):
                if dark and start is None:
                    start = x
                elif not dark and start is not None:
                    yield start, y, x - start
                    start = None

    def path(self) -> str:
        """Return the dark modules as the data of one SVG path, in modules, quiet zone included.

        Returns:
            One closed rectangle for every run of dark modules in a row.
        """
        return "".join(f"M{x} {y}h{count}v1h{-count}z" for x, y, count in self.runs())

    def svg(self, title: str) -> str:
        """Return the symbol as a drawing that scales to any size.

        Args:
            title: what a screen reader says; plain words, escaped here.

        Returns:
            An ``svg`` element with a ``viewBox`` in modules.
        """
        words = title.translate({ord("&"): "&amp;", ord("<"): "&lt;", ord(">"): "&gt;", ord('"'): "&quot;"})
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{words}" '
            f'viewBox="0 0 {self.side} {self.side}" shape-rendering="crispEdges"><title>{words}</title>'
            f'<path fill="#fff" d="M0 0h{self.side}v{self.side}h-{self.side}z"/>'
            f'<path fill="#000" d="{self.path()}"/></svg>'
        )


def symbol(text: str) -> Symbol:
    """Return the smallest symbol of level M that holds ``text`` in alphanumeric mode.

    Args:
        text: one or more of the 45 characters digits, capital letters, space and ``$%*+-./:``.

    Returns:
        The symbol; the same text always gives the same modules.

    Raises:
        NotEncodable: an empty text, another character, or more than 3,391 characters.

    Source: ISO/IEC 18004, alphanumeric mode and error correction level M.

    >>> symbol("HTTPS://GUIDES.EXAMPLE/L/00000000").version
    2
    """
    strange = "".join(sorted(set(text) - set(ALPHABET)))
    if strange or not text:
        raise NotEncodable(f"{text!r} cannot be printed as a code: it holds {strange!r}, or nothing")
    return _drawn(text, QRData(text, mode=MODE_ALPHA_NUM))


def text_symbol(text: str) -> Symbol:
    """Return the smallest symbol of level M that holds any text, as bytes of UTF-8: for screens, where room is cheap.

    Args:
        text: one or more characters.

    Raises:
        NotEncodable: an empty text, or more than 2,331 bytes.

    Source: ISO/IEC 18004, byte mode and error correction level M.
    """
    if not text:
        raise NotEncodable("an empty text has no code")
    return _drawn(text, QRData(text.encode(), mode=MODE_8BIT_BYTE))


def _drawn(text: str, data: QRData) -> Symbol:
    code = qrcode.QRCode(error_correction=ERROR_CORRECT_M, border=0)
    code.add_data(data)
    try:
        version = code.best_fit()
    except (DataOverflowError, ValueError) as error:
        raise NotEncodable(f"{len(text)} characters are more than a code can hold") from error
    mask = code.best_mask_pattern()
    code.makeImpl(False, mask)
    rows = tuple(tuple(bool(module) for module in row) for row in code.modules)
    return Symbol(text=text, version=version, mask=mask, modules=rows)
