"""The code as a hurried phone meets it: printed at 300 dpi, out of focus, in poor light.

Software decoding proves what a symbol says and that it bears some ill-treatment; a grade of print quality would need a
calibrated verifier (ISO/IEC 15415).
"""

import cv2
import numpy
import pytest

from tests.documents.printing import (
    around,
    blurred_and_noisy,
    corners_of,
    decoded_by_opencv,
    decoded_by_zxing,
    matrix_of_segno,
    matrix_on,
    printed,
)

READINGS = 60
# A blur with this sd in dots of 300 dpi smears a point over 0.6 mm, most of a module; noise as sd of 255 grey levels.
BLUR, NOISE = 3.0, 30.0


@pytest.fixture(scope="module")
def corner(made) -> numpy.ndarray:
    """The part of the front that holds the code."""
    front = printed(made.pdf, page=1)
    (symbol,) = decoded_by_zxing(front, whole=True)
    return around(front, symbol)


def share_read(picture: numpy.ndarray, blur: float, readings: int = 20) -> float:
    read = [decoded_by_zxing(blurred_and_noisy(picture, blur, NOISE, seed)) for seed in range(readings)]
    return sum(bool(texts) for texts in read) / readings


def test_blurred_and_noisy_it_still_reads(corner):
    share = share_read(corner, BLUR, READINGS)
    print(f"300 dpi, blur {BLUR} dots, noise {NOISE} of 255: {share:.0%} of {READINGS} readings")
    assert share >= 0.98


def test_negative_control_one_module_that_is_wrong_still_reads_and_is_not_what_segno_draws(corner):
    (symbol,) = decoded_by_zxing(corner, whole=True)
    assert (matrix_on(corner, symbol) == matrix_of_segno(symbol)).all()
    (left, top), _right, (right, bottom), _left = corners_of(symbol)
    x, y, half = (
        (left + right) // 2,
        (top + bottom) // 2,
        (right - left) // (17 + 4 * int(symbol.extra["Version"])) // 2,
    )
    damaged = corner.copy()
    damaged[y - half : y + half, x - half : x + half] = 255 - damaged[y, x]
    (symbol,) = decoded_by_zxing(damaged, whole=True)
    assert (matrix_on(damaged, symbol) != matrix_of_segno(symbol)).sum() == 1


def test_another_decoder_reads_it_blurred_too(corner):
    assert decoded_by_opencv(blurred_and_noisy(corner, BLUR, 10.0, seed=1)).startswith("HTTP://GUIDES.TEST/L/")


def test_negative_control_enough_blur_makes_it_unreadable(corner):
    assert share_read(corner, 3 * BLUR) == 0


def test_at_half_the_size_it_would_not_bear_as_much(corner):
    """What the size on paper buys."""
    half = cv2.resize(corner, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    assert share_read(half, BLUR) < 0.5
