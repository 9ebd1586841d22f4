"""Numbers are read in the language of the page.

Outside checks: CLDR 47 charts as Babel ships them (decimal mark, grouping sign and unit sign of English, Swedish and
Finnish), and the SI brochure, 9th edition, 5.4.3 and 5.4.7 (a space between number and °C or %).
"""

import datetime

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.validity import Window
from guides.presenters.numbers import NO_BREAK, Figures, clock, clock_span

LANGUAGES = ["en", "sv", "fi"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_decimal_and_grouping_marks_are_those_of_cldr(language):
    symbols = Locale(language).number_symbols["latn"]
    assert Figures(language).number(1234.5) == f"1{symbols['group']}234{symbols['decimal']}5"


@pytest.mark.parametrize(
    ("language", "grams", "volume", "heat", "strength", "grind"),
    [
        ("en", "15.5 g", "800 mL", "92 °C", "1.25–1.35 %", "740 μm"),
        ("sv", "15,5 g", "800 ml", "92 °C", "1,25–1,35 %", "740 μm"),
        ("fi", "15,5 g", "800 ml", "92 °C", "1,25–1,35 %", "740 μm"),
    ],
)
def test_units_stand_after_a_no_break_space(language, grams, volume, heat, strength, grind):
    figures = Figures(language)
    written = (
        figures.grams(15.5),
        figures.millilitres(800),
        figures.celsius(92),
        figures.percent_span(0.0125, 0.0135),
        figures.micrometres(740),
    )
    assert written == tuple(text.replace(" ", NO_BREAK) for text in (grams, volume, heat, strength, grind))


def test_a_ratio_has_at_most_one_decimal():
    assert [Figures("en").ratio(parts) for parts in (16, 16.5, 9.46)] == ["1:16", "1:16.5", "1:9.5"]
    assert Figures("fi").ratio(16.5) == "1:16,5"


def test_halves_go_up_as_on_a_kitchen_scale():
    assert [Figures("en").number(value, 0) for value in (2.5, 3.5)] == ["3", "4"]


@given(st.integers(min_value=0, max_value=7200))
def test_a_clock_time_reads_back(seconds):
    minutes, rest = clock(seconds).split(":")
    assert int(minutes) * 60 + int(rest) == seconds
    assert len(rest) == 2


def test_windows_are_given_to_five_seconds():
    assert Figures("en").time_window(Window(141.2, 152, 163.4)) == "2:20–2:45"
    assert clock_span(75, 75) == "1:15"


@pytest.mark.parametrize(
    ("language", "same_year", "other_year"),
    [
        ("en", "24 May", "24 May 2025"),
        ("sv", "24 maj", "24 maj 2025"),
        ("fi", "24. toukokuuta", "24. toukokuuta 2025"),
    ],
)
def test_a_date_names_its_year_only_when_it_is_another(language, same_year, other_year):
    day = datetime.date(2025, 5, 24)
    figures = Figures(language)
    assert figures.day(day, datetime.date(2025, 3, 1)) == same_year.replace(" ", NO_BREAK)
    assert figures.day(day, datetime.date(2026, 3, 1)) == other_year.replace(" ", NO_BREAK)


@pytest.mark.parametrize(
    ("language", "in_full", "in_short"),
    [
        ("en", "1 November 2026, 09:05", "1 Nov 2026, 09:05"),
        ("sv", "1 november 2026 09:05", "1 nov. 2026 09:05"),
        # The month in the partitive and a full stop in the time of day: SFS 4175, from memory.
        ("fi", "1. marraskuuta 2026 9.05", "1.11.2026 9.05"),
    ],
)
def test_a_moment_is_written_as_its_language_writes_it(language, in_full, in_short):
    at = datetime.datetime(2026, 11, 1, 9, 5, tzinfo=datetime.UTC)
    figures = Figures(language)
    assert figures.moment(at).replace(NO_BREAK, " ") == in_full
    assert figures.short_moment(at).replace(NO_BREAK, " ") == in_short
