"""A printer and two phones: poppler turns the paper into pixels, ZXing and OpenCV read them."""

import io
import subprocess

import cv2
import numpy
import pypdf
import segno
import zxingcpp
from PIL import Image


def printed(pdf: bytes, page: int, dpi: int = 300) -> numpy.ndarray:
    """One page in grey at a printer's resolution."""
    command = ["pdftoppm", "-r", str(dpi), "-f", str(page), "-l", str(page), "-gray", "-"]
    picture = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
    return numpy.array(Image.open(io.BytesIO(picture)))


def decoded_by_zxing(picture: numpy.ndarray, *, whole: bool = False) -> list:
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCodeModel2)
    return found if whole else [symbol.text for symbol in found]


def decoded_by_opencv(picture: numpy.ndarray) -> str:
    """What OpenCV reads; like a phone it looks again from nearer and further off where it finds nothing at first."""
    for scale in (1.0, 0.5, 2.0, 0.75, 1.5):
        seen = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        text = cv2.QRCodeDetector().detectAndDecode(seen)[0]
        if text:
            return str(text)
    return ""


def corners_of(symbol: zxingcpp.Barcode) -> numpy.ndarray:
    """The corners of a symbol in dots: upper left, upper right, lower right, lower left as it is read."""
    at = symbol.position
    return numpy.array(
        [(corner.x, corner.y) for corner in (at.top_left, at.top_right, at.bottom_right, at.bottom_left)]
    )


def around(picture: numpy.ndarray, symbol: zxingcpp.Barcode) -> numpy.ndarray:
    """A symbol and as much around it as a phone held over it sees: half its width on every side."""
    (left, top), (right, bottom) = corners_of(symbol).min(0), corners_of(symbol).max(0)
    more = (right - left) // 2
    return picture[max(top - more, 0) : bottom + more, max(left - more, 0) : right + more]


def matrix_on(picture: numpy.ndarray, symbol: zxingcpp.Barcode) -> numpy.ndarray:
    """Every module as it lies on the paper, true where its middle is dark."""
    upper_left, upper_right, _lower_right, lower_left = corners_of(symbol)
    across = 17 + 4 * int(symbol.extra["Version"])  # ISO/IEC 18004: version 1 is 21, and each further one adds four
    middles = (numpy.arange(across) + 0.5) / across
    right, down = numpy.meshgrid(middles, middles)
    middle = upper_left + right[..., None] * (upper_right - upper_left) + down[..., None] * (lower_left - upper_left)
    x, y = middle.astype(int).transpose(2, 0, 1)
    return picture[y, x] < 128


def matrix_of_segno(symbol: zxingcpp.Barcode) -> numpy.ndarray:
    """What segno makes of the same text in the same version, level and mask."""
    theirs = segno.make_qr(
        symbol.text,
        version=int(symbol.extra["Version"]),
        error=symbol.ec_level,
        mask=symbol.extra["DataMask"],
        mode="alphanumeric",
        boost_error=False,
    )
    return numpy.array(theirs.matrix, dtype=bool)


def blurred_and_noisy(picture: numpy.ndarray, blur_px: float, noise: float, seed: int) -> numpy.ndarray:
    """As a hurried phone sees it: out of focus, in poor light. ``noise`` is the sd in grey levels of 255."""
    soft = cv2.GaussianBlur(picture.astype(numpy.float64), (0, 0), blur_px)
    grain = numpy.random.default_rng(seed).normal(0, noise, picture.shape)
    return numpy.clip(soft + grain, 0, 255).astype(numpy.uint8)


def print_of(pdf: bytes) -> list[tuple[float, str]]:
    """Every run of text with the size of its type in points."""
    runs: list[tuple[float, str]] = []

    def seen(text: str, _matrix: object, text_matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            runs.append((round(abs(size * text_matrix[3]), 2), text.replace("\n", " ")))

    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(visitor_text=seen)
    return runs
