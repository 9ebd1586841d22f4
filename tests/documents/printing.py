"""A printer and two phones: poppler turns the paper into pixels, ZXing and OpenCV read them."""

import io
import subprocess

import cv2
import numpy
import pypdf
import zxingcpp
from PIL import Image


def printed(pdf: bytes, page: int, dpi: int = 300) -> numpy.ndarray:
    """One page in grey at a printer's resolution."""
    command = ["pdftoppm", "-r", str(dpi), "-f", str(page), "-l", str(page), "-gray", "-"]
    picture = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
    return numpy.array(Image.open(io.BytesIO(picture)))


def decoded_by_zxing(picture: numpy.ndarray, *, whole: bool = False) -> list:
    found = zxingcpp.read_barcodes(picture)
    return found if whole else [symbol.text for symbol in found]


def decoded_by_opencv(picture: numpy.ndarray) -> str:
    """What OpenCV reads; like a phone it looks again from nearer and further off where it finds nothing at first."""
    for scale in (1.0, 0.5, 2.0, 0.75, 1.5):
        seen = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        text = cv2.QRCodeDetector().detectAndDecode(seen)[0]
        if text:
            return str(text)
    return ""


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
