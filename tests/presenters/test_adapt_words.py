"""Everything that may be said of an adapted guide has words in every language, with every number it carries."""

from __future__ import annotations

import pytest
from django.utils.translation import override

from guides.calculations import findings as codes
from guides.calculations.adaptation import Change, Confidence, Unmet
from guides.calculations.changes import _UNITS
from guides.presenters import advice_words, change_words, problem_words, unmet_words
from guides.presenters.numbers import Figures, clock
from guides.presenters.typed import Problem
from guides.presenters.units import Temperature, Units

from .test_findings import LANGUAGES, numbers_in

UNITS = {**_UNITS, "grinder_setting": "", "step_target_g": "g", "step_time_s": "s", "tap_share": "1"}


def test_every_code_has_words():
    assert change_words.codes() == (frozenset(codes.CHANGES), frozenset(codes.REASONS))
    assert unmet_words.codes() == frozenset(codes.UNMET)
    assert advice_words.codes() == frozenset(codes.ADVICE)


def rendered(figures: Figures, name: str, value: float) -> str:
    """What a number of a finding must look like somewhere in its sentence."""
    if name.endswith("_s"):
        return clock(value)
    return figures.number(value * (1 if "_" in name else 100), 0)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("code", codes.UNMET)
def test_what_cannot_be_honoured_is_said_with_its_numbers(code, language):
    figures, numbers = Figures(language), numbers_in(codes.UNMET[code])
    with override(language):
        said = unmet_words.message(Unmet(code, numbers), figures)
    whole = f"{said.said} {said.instead}"
    assert said.said.endswith(".")
    assert said.instead.endswith(".")
    assert "%(" not in whole
    assert all(rendered(figures, name, value) in whole for name, value in numbers.items())


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("code", codes.ADVICE)
def test_advice_is_said_with_its_numbers(code, language):
    figures, numbers = Figures(language), numbers_in(codes.ADVICE[code])
    with override(language):
        said = advice_words.message(code, numbers, figures)
    assert said.endswith(".")
    assert all(rendered(figures, name, value) in said for name, value in numbers.items())


def test_advice_for_a_jar_promises_no_time():
    with override("en"):
        said = advice_words.message("finer", {"before_um": 950, "after_um": 900}, Figures("en"))
    assert "drain" not in said


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("reason", codes.REASONS)
@pytest.mark.parametrize("code", codes.CHANGES)
def test_every_change_is_said_with_both_figures(code, reason, language):
    step = 2 if code.startswith("step") else None
    change = Change(code, 91.0, 64.0, UNITS[code], reason, Confidence.RULE_OF_THUMB, step)
    figures = Figures(language)
    with override(language):
        (row,) = change_words.rows([change], figures)
    shown = clock if UNITS[code] == "s" else (lambda value: figures.number(value * (100 if UNITS[code] == "1" else 1)))
    assert shown(91.0) in row.before
    assert shown(64.0) in row.after
    assert row.what
    assert row.why
    assert row.sure


def test_steps_that_change_alike_share_a_row():
    changes = [
        Change("step_target_g", 48.0 + step, 60.0 + step, "g", "scaled", Confidence.EXACT, step) for step in range(3)
    ]
    with override("en"):
        (row,) = change_words.rows(changes, Figures("en"))
    assert row.what == "Scale shows, step 1, 2, 3"
    assert all(str(60 + step) in row.after for step in range(3))


def test_a_change_of_temperature_is_not_a_temperature():
    """3 K apart are 5.4 °F apart (NIST SP 811, B.9: 1 K is 1.8 °F), not 37.4."""
    change = Change("kettle_c", 97.0, 94.0, "degrees C", "boils_lower", Confidence.EXACT)
    with override("en"):
        (row,) = change_words.rows([change], Figures("en", Units(temperature=Temperature.FAHRENHEIT)))
    assert (row.before, row.after) == ("207\xa0°F", "201\xa0°F")
    assert row.by == "5.4\xa0°F cooler"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("code", sorted(problem_words.codes()))
def test_every_problem_is_said_with_its_limits(code, language):
    with override(language):
        said = problem_words.message(Problem("dose", code, 1.0, 300.0, "dose_g"), Figures(language))
    assert said.endswith(".")
    assert "%(" not in said
    if code == "out_of_range":
        assert "300\xa0g" in said


@pytest.mark.parametrize(
    ("low", "high", "code"), [(1.0, None, "too_low"), (None, 9.0, "too_high"), (None, None, "impossible")]
)
def test_open_limits_are_said_as_such(low, high, code):
    with override("en"):
        known = problem_words.message(Problem("x", code, low, high, "dose_g"), Figures("en"))
        assert problem_words.message(Problem("x", "out_of_range", low, high, "dose_g"), Figures("en")) == known
