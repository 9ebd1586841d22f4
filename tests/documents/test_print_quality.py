"""The code as a hurried phone meets it: printed at 300 dpi, out of focus, in poor light.

Software decoding proves what a symbol says and that it bears some ill-treatment; a grade of print quality would need a
calibrated verifier (ISO/IEC 15415).
"""

import cv2
import numpy
import pytest

from guides.documents.insert import insert_pdf
from tests.documents.printing import blurred_and_noisy, decoded_by_opencv, decoded_by_zxing, printed

READINGS = 60
# A blur with this sd in dots of 300 dpi smears a point over 0.6 mm, most of a module; noise as sd of 255 grey levels.
BLUR, NOISE = 3.0, 30.0


@pytest.fixture
def corner(bag) -> numpy.ndarray:
    """The part of the front that holds the code."""
    front = printed(insert_pdf(*bag, "en"), page=1)
    return front[front.shape[0] * 2 // 3 :, : front.shape[1] // 2]


def share_read(picture: numpy.ndarray, blur: float, noise: float) -> float:
    read = [decoded_by_zxing(blurred_and_noisy(picture, blur, noise, seed)) for seed in range(READINGS)]
    return sum(bool(texts) for texts in read) / READINGS


def test_blurred_and_noisy_it_still_reads(corner):
    share = share_read(corner, BLUR, NOISE)
    print(f"300 dpi, blur {BLUR} dots, noise {NOISE} of 255: {share:.0%} of {READINGS} readings")
    assert share >= 0.98


def test_another_decoder_reads_it_blurred_too(corner):
    assert decoded_by_opencv(blurred_and_noisy(corner, BLUR, 10.0, seed=1)).startswith("HTTP://GUIDES.TEST/L/")


def test_negative_control_enough_blur_makes_it_unreadable(corner):
    assert share_read(corner, 3 * BLUR, NOISE) == 0


def test_at_half_the_size_it_would_not_bear_as_much(corner):
    """What the size on paper buys."""
    half = cv2.resize(corner, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    assert share_read(half, BLUR, NOISE) < 0.5
