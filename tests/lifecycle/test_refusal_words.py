"""Every refusal of the calculation room has words, a field, and a unit for each number."""

from __future__ import annotations

import re
import string

import pytest
from django.utils.translation import override

from guides import models
from guides.calculations.findings import REFUSALS, refusal
from guides.calculations.plan import Action, Plan, Step
from guides.calculations.validity import OutOfRange
from guides.calculations.vessel import Brewer, Cone, Flow
from guides.lifecycle import refusal_words
from guides.models import GuideVersion

PLAN = Plan(16, 264, 97, 660, Brewer(Cone(30, 10), 500, 60, Flow.OPEN), (Step(Action.POUR, 0, 10, 48),) * 2)
COLUMNS = {field.name for model in (GuideVersion, models.Step) for field in model._meta.get_fields()}


def numbers_of(code: str) -> dict[str, float]:
    """The numbers a code's line in the table promises, each with a value."""
    named = re.search(r"\(([a-z_, ]+)\)$", REFUSALS[code])
    return {name.strip(): 0.5 for name in named[1].split(",")} if named else {}


def test_every_refusal_has_words() -> None:
    assert refusal_words.codes() == set(REFUSALS)


@pytest.mark.parametrize("code", sorted(REFUSALS))
def test_the_sentence_names_a_column_and_only_numbers_it_is_given(code: str) -> None:
    reason = refusal_words.refusal(refusal(code, 2, **numbers_of(code)))
    assert reason.field in COLUMNS
    assert str(reason).startswith("Step 3: ")
    assert "{" not in str(reason)
    assert str(reason).endswith(".")


def test_sentences_promise_no_number_that_is_not_given() -> None:
    for code, (_field, template) in refusal_words._WORDS.items():
        used = {name for _text, name, _spec, _conversion in string.Formatter().parse(template) if name}
        assert used <= set(numbers_of(code)), code


def test_numbers_wear_their_units_in_the_readers_language() -> None:
    reason = refusal_words.refusal(refusal("hotter_than_boiling", kettle_c=97.25, cap_c=94.0, boiling_c=95.0))
    with override("en"):
        assert "97.3\N{NO-BREAK SPACE}°C cannot" in str(reason)
        assert "Write 94\N{NO-BREAK SPACE}°C" in str(reason)
    with override("fi"):
        assert "97,3\N{NO-BREAK SPACE}°C" in str(reason)


@pytest.mark.parametrize(
    ("name", "value", "written"),
    [
        ("late_s", 75.4, "1:15"),
        ("target_g", 264.0, "264\N{NO-BREAK SPACE}g"),
        ("plateau", 0.01413, "1.41\N{NO-BREAK SPACE}%"),
        ("grind_um", 660.0, "660\N{NO-BREAK SPACE}µm"),
        ("altitude_m", 1480.0, "1480\N{NO-BREAK SPACE}m"),
    ],
)
def test_a_number_is_written_by_its_unit(name: str, value: float, written: str) -> None:
    assert refusal_words.shown(name, value) == written


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (1, 1000, "Dose: 0.5\N{NO-BREAK SPACE}g is outside 1\N{NO-BREAK SPACE}g to 1000\N{NO-BREAK SPACE}g"),
        (1, None, "is too little; 1\N{NO-BREAK SPACE}g is the least"),
        (None, 0.1, "is too much; 0.1\N{NO-BREAK SPACE}g is the most"),
        (None, None, "Dose: write a number"),
    ],
)
def test_a_number_out_of_range_is_told_with_its_limits(low: float | None, high: float | None, words: str) -> None:
    reason = refusal_words.out_of_range(
        OutOfRange("dose_g", 0.5, low=low, high=high, reason="a brew needs coffee"), PLAN
    )
    assert words in str(reason)
    assert reason.field == "dose_g"


def test_an_argument_without_a_column_still_makes_a_sentence() -> None:
    reason = refusal_words.out_of_range(OutOfRange("trials", 9, low=0.5, high=4, reason="kept"), PLAN)
    assert (reason.field, str(reason)[:7]) == (None, "trials:")
