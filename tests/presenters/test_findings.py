"""Everything the calculation room can say has words, with every number it carries."""

import re

import pytest

from guides.calculations import findings as codes
from guides.calculations.precautions import Preparation
from guides.calculations.validity import Caution, Severity
from guides.presenters import findings, preparations
from guides.presenters.numbers import NO_BREAK, Figures

LANGUAGES = ["en", "sv", "fi"]
SEVERITY = {"refusal": codes.REFUSALS, "caution": codes.CAUTIONS, "note": codes.NOTES}
EVERY = [(Severity(name), code, told) for name, table in SEVERITY.items() for code, told in table.items()]


def numbers_in(told: str) -> dict[str, float]:
    """The names in the brackets that end a line of the table, each with a number of its own."""
    bracket = re.search(r"\(([a-z_0-9, ]+)\)$", told)
    names = [name.strip() for name in bracket[1].split(",")] if bracket else []
    return {name: 0.11 + index / 100 if "_" not in name else 61.0 + index for index, name in enumerate(names)}


def test_every_code_has_words():
    assert set(codes.REFUSALS) | set(codes.CAUTIONS) | set(codes.NOTES) == findings.codes()
    assert set(codes.PREPARATIONS) == preparations.codes()


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(("severity", "code", "told"), EVERY, ids=[code for _severity, code, _told in EVERY])
def test_every_sentence_can_be_said_with_its_numbers(severity, code, told, language):
    said = findings.message(Caution(code, severity, numbers_in(told)), language)
    assert said.strip().endswith(".")
    assert "%(" not in said
    assert "{" not in said


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("code", codes.PREPARATIONS)
def test_every_preparation_can_be_said_with_its_numbers(code, language):
    said = preparations.message(Preparation(code, numbers_in(codes.PREPARATIONS[code])), language)
    assert said.endswith(".")
    assert all(Figures(language).number(value) in said for value in numbers_in(codes.PREPARATIONS[code]).values())


def test_a_finding_about_a_step_names_it_as_people_count():
    said = findings.message(Caution("pour_too_fast", Severity.CAUTION, {"rate_g_s": 12.5, "high_g_s": 10}, 1), "en")
    assert said.startswith("Step 2: ")
    assert f"12.5{NO_BREAK}g/s" in said


def test_seconds_on_the_clock_and_spans_of_seconds_read_differently():
    scald = {"cooler_c": 60, "cooler_s": 6, "hotter_c": 65.6, "hotter_s": 2}
    assert f"in about 6{NO_BREAK}s" in findings.message(Caution("hot_water", Severity.NOTE, scald), "en")
    assert "At 6:00 the bed" in findings.message(Caution("still_draining", Severity.CAUTION, {"after_s": 360}), "en")
