"""Codes on photos: read where a packer's phone would take them, looked at like every picture from outside."""

from __future__ import annotations

import io

import pytest
import segno
from PIL import Image, ImageFilter

from guides.media import symbols
from guides.media.errors import NotTaken

BAG, INSERT = "HTTPS://GUIDES.EXAMPLE/L/00000000", "HTTPS://GUIDES.EXAMPLE/L/00000000/1.2.SV"


def symbol(text: str, side: int = 220) -> Image.Image:
    made = io.BytesIO()
    segno.make(text, error="m", micro=False).save(made, kind="png", scale=8, border=4)
    return Image.open(made).convert("RGB").resize((side, side))


def photo(*symbols: Image.Image, turned: float = 0, blurred: float = 0, kind: str = "JPEG") -> io.BytesIO:
    """A table of brown paper with symbols below each other."""
    table = Image.new("RGB", (1200, 900), "#b9986a")
    for place, one in enumerate(symbols):
        table.paste(one, (300 + 120 * place, 120 + 360 * place))
    table = table.rotate(turned, expand=True, fillcolor="#806040").filter(ImageFilter.GaussianBlur(blurred))
    made = io.BytesIO()
    table.save(made, kind)
    return made


def read(upload: io.BytesIO) -> list[str]:
    return symbols.read(upload, upload.getbuffer().nbytes)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(("turned", "blurred"), [(0, 0), (12, 1), (90, 0.5), (180, 1.2)])
def test_bag_and_insert_on_one_photo(kind: str, turned: float, blurred: float) -> None:
    found = read(photo(symbol(BAG), symbol(INSERT), turned=turned, blurred=blurred, kind=kind))
    assert set(found) == {BAG, INSERT}


def test_the_same_code_twice_is_one() -> None:
    assert read(photo(symbol(BAG), symbol(BAG))) == [BAG]


def test_a_photo_without_a_code_gives_none() -> None:
    assert read(photo()) == []
    assert read(photo(symbol(BAG, 220).filter(ImageFilter.GaussianBlur(20)))) == []


@pytest.mark.parametrize("held", [b"", b"milk", b"<svg/>", b"%PDF-1.7"])
def test_what_is_no_picture_is_refused(held: bytes) -> None:
    with pytest.raises(NotTaken):
        symbols.read(io.BytesIO(held), len(held))


def test_what_claims_to_be_too_large_is_refused_unread() -> None:
    with pytest.raises(NotTaken, match="MB"):
        symbols.read(io.BytesIO(b""), 13 * 2**20)
