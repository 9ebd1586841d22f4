"""The QR symbol against ISO/IEC 18004 and two libraries that had no part in making it."""

import numpy
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.codes import qr, short_code

ADDRESS = "HTTPS://GUIDES.EXAMPLE/L/7K2M9QX4/12.3.SV"

# Characters of alphanumeric mode that level M holds. Source: ISO/IEC 18004, table of data capacity.
CAPACITY_M = {2: 38, 3: 61, 4: 90, 5: 122}

texts = st.text(alphabet=qr.ALPHABET, min_size=1, max_size=122)


def pixels(symbol: qr.Symbol, module: int = 4) -> numpy.ndarray:
    """The symbol as a picture, quiet zone included."""
    dark = numpy.pad(numpy.array(symbol.modules), qr.QUIET_ZONE)
    return numpy.kron(numpy.where(dark, 0, 255), numpy.ones((module, module))).astype(numpy.uint8)


def ends_on_a_byte(text: str) -> bool:
    """Mode (4 bits), count (9), two characters in 11 bits or one in 6, terminator (4): ISO/IEC 18004."""
    return (4 + 9 + len(text) // 2 * 11 + len(text) % 2 * 6 + 4) % 8 == 0


# Where the message ends on a byte, segno adds a zero byte that the standard does not ask for (its own comment quotes
# the clause); both symbols decode, but they differ.
@given(texts.filter(lambda text: not ends_on_a_byte(text)))
@settings(max_examples=60, deadline=None)
def test_segno_makes_the_same_matrix_with_the_same_mask(text):
    ours = qr.symbol(text)
    theirs = segno.make_qr(text, error="M", mask=ours.mask, mode="alphanumeric", boost_error=False)
    assert ours.version == theirs.version
    assert [list(row) for row in ours.modules] == [[bool(module) for module in row] for row in theirs.matrix]


@given(texts)
@settings(max_examples=30, deadline=None)
def test_a_decoder_reads_the_text_back(text):
    (read,) = zxingcpp.read_barcodes(pixels(qr.symbol(text)), formats=zxingcpp.BarcodeFormat.QRCode)
    assert read.text == text
    assert read.ec_level == "M"


@pytest.mark.parametrize(("version", "characters"), CAPACITY_M.items())
def test_the_smallest_version_that_holds_the_text_is_taken(version, characters):
    assert qr.symbol("A" * characters).version == version
    assert qr.symbol("A" * (characters + 1)).version == version + 1
    # ISO/IEC 18004: version 1 is 21 modules across and each version adds four.
    assert len(qr.symbol("A" * characters).modules) == 17 + 4 * version


def test_upper_case_saves_a_version():
    # ISO/IEC 18004: byte mode at level M holds 26 characters in version 2, 42 in version 3.
    assert qr.symbol(ADDRESS[:38]).version == 2
    assert segno.make_qr(ADDRESS[:38].lower(), error="M", boost_error=False).version == 3


def test_worked_example_of_size():
    # 50 characters at level M make version 3: 29 + 8 modules of 0.254 mm are 9.398 mm (example of the code's
    # originator, quoted from the design notes).
    symbol = qr.symbol("A" * 50)
    assert symbol.version == 3
    assert symbol.side == 37
    assert symbol.module_mm(9.398) == pytest.approx(0.254)


@pytest.mark.parametrize("text", ["", "https://guides.example", "ÅBO", "A" * 3392, "A\nB"])
def test_what_cannot_be_encoded_is_refused(text):
    with pytest.raises(qr.NotEncodable):
        qr.symbol(text)


def test_the_drawing_is_one_path_of_the_dark_modules():
    symbol = qr.symbol(ADDRESS)
    svg = symbol.svg('Code of lot "A" & B')
    assert svg.count("<path") == 2  # the light ground and the dark modules
    assert f'viewBox="0 0 {symbol.side} {symbol.side}"' in svg
    assert "&quot;A&quot; &amp; B" in svg


@given(texts)
@settings(max_examples=30, deadline=None)
def test_the_path_covers_exactly_the_dark_modules(text):
    symbol = qr.symbol(text)
    covered = set()
    for run in symbol.path().split("M")[1:]:
        place, _, rest = run.partition("h")
        x, y = map(int, place.split())
        covered |= {(x + step, y) for step in range(int(rest.partition("v")[0]))}
    dark = {
        (x + qr.QUIET_ZONE, y + qr.QUIET_ZONE)
        for y, row in enumerate(symbol.modules)
        for x, module in enumerate(row)
        if module
    }
    assert covered == dark


def test_every_address_code_fits_alphanumeric_mode():
    assert set(short_code.ALPHABET) <= set(qr.ALPHABET)
