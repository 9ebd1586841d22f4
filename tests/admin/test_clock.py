"""Times typed as people write them."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from guides.admin.clock import ClockField, ClockInput


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [("1:05", 65), ("65", 65), ("0:40", 40), ("0", 0), ("0:00", 0), (" 12:00 ", 720), ("120:00", 7200), ("", None)],
)
def test_reads_minutes_and_seconds_or_seconds_alone(typed, seconds):
    assert ClockField(required=False).clean(typed) == seconds


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1:75", "two digits from 00 to 59"),
        ("1:5", "two digits from 00 to 59"),
        ("1.05", "such as 1:05"),
        ("-10", "such as 1:05"),
        ("soon", "such as 1:05"),
        ("1:00:00", "such as 1:05"),
        ("120:01", "more than two hours"),
        ("9" * 200, "such as 1:05"),
    ],
)
def test_says_what_was_typed_and_what_to_write(typed, said):
    with pytest.raises(ValidationError) as refused:
        ClockField().clean(typed)
    message = refused.value.messages[0]
    assert said in message
    assert f"“{typed}”" in message


@given(st.integers(min_value=0, max_value=7200))
def test_what_is_shown_reads_back_as_itself(seconds):
    assert ClockField().clean(ClockInput().format_value(seconds)) == seconds


def test_shows_what_could_not_be_read_as_it_was_typed():
    assert ClockInput().format_value("1:75") == "1:75"
