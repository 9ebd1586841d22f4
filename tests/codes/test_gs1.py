"""GS1 check digits against the specification's examples and an independent parser."""

import biip
import pytest
from biip.gtin import Gtin
from hypothesis import given
from hypothesis import strategies as st

from guides.codes import gs1

digits = st.text(alphabet="0123456789", min_size=13, max_size=13)


@pytest.mark.parametrize(
    ("key", "check"),
    # GS1 General Specifications, section 7.9, and GS1's check digit page: GTIN-13, GTIN-13, GTIN-12 and GTIN-8.
    [("629104150021", "3"), ("950600013435", "2"), ("03600029145", "2"), ("9638507", "4")],
)
def test_published_check_digits(key, check):
    assert gs1.check_digit(key) == check


@given(digits)
def test_an_independent_parser_agrees_on_the_check_digit(body):
    for last in "0123456789":
        candidate = body + last
        try:
            accepted = Gtin.parse(candidate).check_digit == int(last)
        except biip.ParseError:
            accepted = False
        # The parser knows more rules (leading zeros make shorter keys), but never accepts a wrong digit.
        if accepted:
            assert gs1.is_gtin14(candidate)
    assert gs1.is_gtin14(body + gs1.check_digit(body))
    assert biip.checksums.gs1_standard_check_digit(body) == int(gs1.check_digit(body))


@pytest.mark.parametrize(
    "text",
    ["", "9520123456788", "09520123456789", "0952012345678A", "095201234567888", "٠٩٥٢٠١٢٣٤٥٦٧٨٨"],
)
def test_what_is_not_a_gtin14(text):
    assert not gs1.is_gtin14(text)


@pytest.mark.parametrize("text", ["12a4", "１２３", "12 34"])
def test_only_digits_have_a_check_digit(text):
    with pytest.raises(ValueError, match="more than digits"):
        gs1.check_digit(text)
