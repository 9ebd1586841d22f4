"""QR codes in a picture that was taken: looked at like every picture from outside, and not kept."""

from __future__ import annotations

from typing import IO, Final

import zxingcpp

from .picture import opened

_QR: Final = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCodeModel2)  # no Micro QR: noise passes for it
MOST_SYMBOLS: Final = 12


def read(upload: IO[bytes], size: int) -> list[str]:
    """Give the texts of the QR codes in a picture, as they lie from top to bottom; empty where none can be read.

    Args:
        upload: the file, at any position.
        size: its length in bytes.

    Raises:
        NotTaken: not a still picture of a known format, too large, too small, or damaged.
    """
    found = zxingcpp.read_barcodes(opened(upload, size).convert("L"), formats=_QR)[:MOST_SYMBOLS]
    placed = sorted(found, key=lambda symbol: symbol.position.top_left.y)
    return list(dict.fromkeys(symbol.text for symbol in placed))
