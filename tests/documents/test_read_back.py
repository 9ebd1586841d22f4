"""What counts as a symbol when a finished page is read back."""

from __future__ import annotations

import io

import pytest
import segno
import zxingcpp
from PIL import Image

from guides.documents import read_back

BAG = "HTTPS://GUIDES.EXAMPLE/L/00000000"


def _page_with(*texts: tuple[str, bool]) -> bytes:
    """A page at 300 dpi with a symbol below another, each of them Micro QR where told."""
    page = Image.new("L", (900, 1200), 255)
    for place, (text, micro) in enumerate(texts):
        made = io.BytesIO()
        segno.make(text, micro=micro).save(made, kind="png", scale=8, border=4)
        page.paste(Image.open(made).convert("L"), (200, 100 + 500 * place))
    finished = io.BytesIO()
    page.save(finished, "PDF", resolution=300)
    return finished.getvalue()


PAPER = _page_with((BAG, False), ("12345", True))


def test_a_symbol_is_one_with_three_corners() -> None:
    """ISO/IEC 18004 has Micro QR beside QR; we never print one, and noise passes for its single corner."""
    (symbol,) = read_back.read(PAPER).symbols
    assert symbol.text == BAG


def test_the_whole_family_would_take_in_a_micro_code(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read_back, "_FORMATS", zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode))
    # Its version is no number of modules: this is how a page that was sound came to be refused.
    with pytest.raises(ValueError, match="M1"):
        read_back.read(PAPER)
