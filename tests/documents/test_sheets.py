"""Places on a sheet: all on the paper, none on another, and every back behind its front once the sheet is turned."""

from __future__ import annotations

from itertools import combinations
from math import cos, isclose, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.choices import Flip
from guides.documents.formats import INSERT_A6
from guides.documents.sheets import A4, LETTER, Layout, Place, fill, for_format

PAPERS = st.sampled_from([A4, LETTER])
LAYOUTS = st.builds(
    fill,
    PAPERS,
    st.floats(20, 210),
    st.floats(20, 210),
    bleed_mm=st.sampled_from([0.0, 3.0]),
).filter(bool)


def overlap(one: Place, other: Place) -> float:
    across = min(one.left_mm + one.width_mm, other.left_mm + other.width_mm) - max(one.left_mm, other.left_mm)
    up = min(one.bottom_mm + one.height_mm, other.bottom_mm + other.height_mm) - max(one.bottom_mm, other.bottom_mm)
    return min(across, up)


# ISO 216: halving the longer side gives the next size, so a sheet of A4 holds 2, 4 and 8 of the following three.
@pytest.mark.parametrize(("width_mm", "height_mm", "copies"), [(148, 210, 2), (105, 148, 4), (74, 105, 8)])
def test_a4_holds_what_iso_216_says(width_mm: float, height_mm: float, copies: int) -> None:
    layout = fill(A4, width_mm, height_mm)
    assert layout is not None
    assert layout.per_sheet == copies


def test_four_inserts_share_a_sheet_of_a4_and_two_a_letter() -> None:
    a4, letter = for_format(A4, INSERT_A6), for_format(LETTER, INSERT_A6)
    assert a4 is not None
    assert letter is not None
    assert (a4.per_sheet, letter.per_sheet) == (4, 2)


def test_what_is_larger_than_the_sheet_has_no_place() -> None:
    assert fill(A4, 210, 298) is None
    assert fill(LETTER, 210, 297) is None


@given(LAYOUTS, st.sampled_from(Flip))
def test_every_place_is_on_the_paper_and_its_own(layout: Layout, flip: Flip) -> None:
    for places in (list(layout.fronts()), list(layout.backs(flip))):
        assert len(places) == layout.per_sheet
        for place in places:
            bleed = layout.bleed_mm
            assert place.left_mm >= bleed - 1e-6
            assert place.bottom_mm >= bleed - 1e-6
            assert place.left_mm + place.width_mm <= layout.paper.width_mm - bleed + 1e-6
            assert place.bottom_mm + place.height_mm <= layout.paper.height_mm - bleed + 1e-6
        for one, other in combinations(places[:12], 2):
            assert overlap(one, other) <= 1e-6


@given(LAYOUTS, st.sampled_from(Flip))
def test_a_back_lies_behind_its_front_and_reads_like_the_next_leaf_of_a_book(layout: Layout, flip: Flip) -> None:
    for front, back in zip(layout.fronts(), layout.backs(flip), strict=True):
        seen_through = turned_over(back, layout, flip)
        assert isclose(seen_through.left_mm, front.left_mm, abs_tol=1e-6)
        assert isclose(seen_through.bottom_mm, front.bottom_mm, abs_tol=1e-6)
        mirrored = (-1, 1) if flip is Flip.LONG else (1, -1)
        for here, there, sign in zip(up(front), up(back), mirrored, strict=True):
            assert isclose(here, there * sign, abs_tol=1e-9)


def turned_over(place: Place, layout: Layout, flip: Flip) -> Place:
    """Where a place of the second side lies when the sheet is seen from its first side."""
    left, bottom = place.left_mm, place.bottom_mm
    if flip is Flip.LONG:
        left = layout.paper.width_mm - left - place.width_mm
    else:
        bottom = layout.paper.height_mm - bottom - place.height_mm
    return Place(left, bottom, place.width_mm, place.height_mm, place.turned)


def up(place: Place) -> tuple[float, float]:
    """The direction in which the head of a copy lies."""
    return -sin(radians(place.turned)), cos(radians(place.turned))
