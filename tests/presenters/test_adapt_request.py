"""What an address asks: read, settled, written again."""

from __future__ import annotations

from urllib.parse import parse_qsl

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.presenters import adapt_request, typed
from guides.presenters.adapt_request import GEAR, NAMES, AdaptRequest, parse, to_query

NUMBERS = st.decimals(min_value=-9999, max_value=9999, places=4, allow_nan=False).map(str)
WORDS = {
    "size": ["1", "2", "full", "FULL"],
    "brewer": ["mast-cone", "own"],
    "wall": ["cone", "straight"],
    "way": ["open", "valve", "closed"],
    "made": ["plastic", "glass"],
    "grinder": ["harrow", "own"],
    "points": ["14:480 20:690 26:900", "3=450; 5,5=690, 7:930", "9:1 8:2 7:3 6:4"],
    "drained": ["2:50 3:05", "170, 185", "3:00 3:01 2:59"],
    "water": ["mg_l", "german", "Clark"],
    "mass": ["g", "oz"],
    "temp": ["c", "F"],
    "vol": ["ml", "us", "imp"],
    "alt": ["m", "FT"],
}
ADDRESSES = st.fixed_dictionaries(
    {}, optional={name: st.sampled_from(WORDS[name]) if name in WORDS else NUMBERS for name in NAMES}
)


@given(ADDRESSES)
def test_what_is_written_reads_the_same(address):
    asked = parse(address)
    if asked.request is None:
        assert asked.problems
        return
    query = to_query(asked.request)
    again = parse(dict(parse_qsl(query, strict_parsing=bool(query))))
    assert again.request == asked.request
    assert to_query(again.request) == query


@given(st.dictionaries(st.sampled_from([*NAMES, "utm", "in"]), st.text(max_size=300)))
def test_whatever_is_typed_is_read_or_told_and_kept(address):
    asked = parse(address)
    assert (asked.request is None) == bool(asked.problems)
    assert {problem.field for problem in asked.problems} <= set(NAMES)
    assert asked.typed == {name: address[name].strip() for name in NAMES if name in address and address[name].strip()}


def test_nothing_asked_is_nothing_written():
    assert parse({}).request == AdaptRequest()
    assert to_query(AdaptRequest()) == ""
    assert parse({"dose": " ", "brewer": "", "utm_source": "x"}).request == AdaptRequest()


@pytest.mark.parametrize(
    ("address", "query"),
    [
        ({"size": "2"}, "size=2"),
        ({"dose": "18,50"}, "dose=18.5"),
        ({"dose": "١٨"}, "dose=18"),
        ({"altitude": "\N{MINUS SIGN}10"}, "altitude=-10"),
        ({"mass": "g", "temp": "c", "vol": "ml", "wall": "cone"}, ""),
        ({"grinder": "own", "points": "26:900, 14:480; 20:690"}, "grinder=own&points=14:480+20:690+26:900"),
        ({"points": "14:480 20:690 26:900"}, "grinder=own&points=14:480+20:690+26:900"),
        ({"drained": "185 2:50", "at": "20"}, "drained=3:05+2:50"),
        ({"brewer": "mast-cone", "wall": "straight"}, "brewer=mast-cone"),
        ({"height": "90"}, "brewer=own&height=90"),
        ({"water": "german"}, ""),
        ({"alkalinity": "10", "water": "german"}, "alkalinity=10&water=german"),
    ],
)
def test_one_wish_has_one_address(address, query):
    assert to_query(parse(address).request) == query


@pytest.mark.parametrize(
    ("address", "field", "code"),
    [
        ({"dose": "NaN"}, "dose", "not_a_number"),
        ({"dose": "1e3"}, "dose", "not_a_number"),
        ({"dose": "eighteen"}, "dose", "not_a_number"),
        ({"dose": "1.23456"}, "dose", "not_a_number"),
        ({"size": "3"}, "size", "unknown_choice"),
        ({"size": "1", "dose": "18"}, "dose", "two_sizes"),
        ({"dose": "18", "bag": "x"}, "bag", "not_a_number"),
        ({"altitude": "100", "boils": "95"}, "boils", "two_places"),
        ({"brewer": "../etc"}, "brewer", "unknown_choice"),
        ({"brewer": "own"}, "holds", "measure_missing"),
        ({"brewer": "mast-cone", "height": "90"}, "height", "not_own_brewer"),
        ({"grinder": "own"}, "points", "points_missing"),
        ({"grinder": "harrow", "points": "1:2 3:4 5:6"}, "points", "not_own_grinder"),
        ({"points": "14:480 20:690"}, "points", "few_points"),
        ({"points": "14 480"}, "points", "not_points"),
        ({"drained": "2:50"}, "drained", "few_times"),
        ({"drained": "2:75 3:00"}, "drained", "not_times"),
        ({"points": "1:" + "9" * 300}, "points", "too_long"),
    ],
)
def test_what_cannot_be_read_is_told_at_its_field(address, field, code):
    asked = parse(address)
    assert asked.request is None
    assert (field, code) in {(problem.field, problem.code) for problem in asked.problems}


def test_gear_is_what_belongs_to_a_kitchen():
    everything = {"dose": "18", "brewer": "mast-cone", "altitude": "1480", "mass": "oz", "drained": "2:50 3:05"}
    assert to_query(parse(everything).request, GEAR) == "brewer=mast-cone&altitude=1480&mass=oz"


def test_every_parameter_is_documented():
    for name in NAMES:
        assert f"\n{name} " in (adapt_request.__doc__ or ""), name


@given(st.decimals(min_value=-99999, max_value=99999, places=4, allow_nan=False))
def test_numbers_survive_writing(value):
    assert typed.number(typed.plain(float(value))) == float(value)
