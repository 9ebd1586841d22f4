"""Grind tables, words and sieves; sieve openings against the library `fluids`."""

import math

import pytest
from fluids.particle_size_distribution import ASTM_E11_sieves, ISO_3310_1_sieves
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.grind import (
    BANDS,
    SIEVES_UM,
    GrinderTable,
    check_table,
    nearest_sieve,
    setting_for,
    size_um,
    word_for,
)
from guides.calculations.validity import OutOfRange

from .demo_plans import HARROW, THIMBLE

FALLING = GrinderTable((1, 2, 4, 8), (1200, 900, 700, 300), 0.5)
TABLES = st.sampled_from([HARROW, THIMBLE, FALLING])


def test_sieve_openings_are_those_of_the_standards():
    """ASTM E11 and ISO 3310-1 as tabulated by `fluids`."""
    astm = {sieve.old_designation: round(sieve.opening * 1e6) for sieve in ASTM_E11_sieves.values()}
    assert {number: astm[f"No. {number}"] for number in SIEVES_UM} == SIEVES_UM
    iso = {round(sieve.opening * 1e6) for sieve in ISO_3310_1_sieves.values()}
    assert set(SIEVES_UM.values()) <= iso


@given(table=TABLES, share=st.floats(0, 1))
def test_the_setting_found_lands_within_a_click(table, share):
    low, high = min(table.sizes_um), max(table.sizes_um)
    wanted = low + share * (high - low)
    found = setting_for(table, wanted)
    assert table.settings[0] <= found.setting <= table.settings[-1]
    assert found.landed_um == pytest.approx(size_um(table, found.setting))
    steepest = max(
        abs(b - a) / (t - s)
        for s, t, a, b in zip(table.settings, table.settings[1:], table.sizes_um, table.sizes_um[1:], strict=False)
    )
    assert abs(found.landed_um - wanted) <= steepest * table.click


@given(table=TABLES)
def test_calibration_points_are_met_exactly(table):
    for setting, size in zip(table.settings, table.sizes_um, strict=True):
        assert size_um(table, setting) == pytest.approx(size)


@pytest.mark.parametrize("outside", [449, 1191, math.nan, math.inf])
def test_outside_the_points_there_is_no_number(outside):
    with pytest.raises(OutOfRange, match="wanted_um"):
        setting_for(HARROW, outside)
    with pytest.raises(OutOfRange, match="setting"):
        size_um(HARROW, 9.1)


@pytest.mark.parametrize(
    "bad",
    [
        GrinderTable((1, 2), (300, 600)),
        GrinderTable((1, 2, 3), (300, 600)),
        GrinderTable((1, 3, 2), (300, 600, 900)),
        GrinderTable((1, 2, 3), (300, 900, 600)),
        GrinderTable((1, 2, 3), (300, 600, math.nan)),
        GrinderTable((1, 2, 3), (300, 600, 900), 0),
    ],
)
def test_refuses_tables_no_grinder_has(bad):
    with pytest.raises(OutOfRange):
        check_table(bad)


@given(size=st.floats(50, 5000), more=st.floats(0, 1000))
def test_words_grow_coarser_with_size(size, more):
    order = [word for _, word in BANDS] + ["very_coarse"]
    assert order.index(word_for(size)) <= order.index(word_for(min(size + more, 5000)))


def test_nearest_sieve_is_nearest():
    assert nearest_sieve(840) == 20
    assert nearest_sieve(255) == 60
    with pytest.raises(OutOfRange):
        nearest_sieve(2000)
