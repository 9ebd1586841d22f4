"""Printed addresses: written once, read for ever."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.codes import qr, short_code
from guides.presenters import addresses

codes = st.text(alphabet=short_code.ALPHABET, min_size=7, max_size=7).map(
    lambda body: body + short_code.check_character(body)
)
numbers = st.integers(min_value=1, max_value=32767)
languages = st.sampled_from(["en", "sv", "fi", "pt-br"])
CODE = "0000000" + short_code.check_character("0000000")


@given(codes, numbers, numbers, languages)
def test_what_is_printed_is_read_back_in_either_case(code, guide, revision, language):
    printed = addresses.of_insert(code, guide, revision, language)
    for seen in (str(printed), str(printed).lower()):
        assert addresses.read(seen) == printed


@given(codes, numbers, numbers, languages)
def test_the_whole_address_is_in_the_qr_alphanumeric_set(code, guide, revision, language):
    assert set(str(addresses.of_insert(code, guide, revision, language))) <= set(qr.ALPHABET)


def test_the_form_of_an_address_is_fixed(settings):
    # Printed on bags: these very texts must be made for ever.
    settings.PUBLIC_BASE_URL = "https://guides.example"
    assert str(addresses.of_lot(CODE)) == "HTTPS://GUIDES.EXAMPLE/L/00000000"
    assert str(addresses.of_insert(CODE, 12, 3, "sv")) == "HTTPS://GUIDES.EXAMPLE/L/00000000/12.3.SV"
    assert addresses.of_insert(CODE, 12, 3, "sv").path == "/L/00000000/12.3.SV"


def test_the_address_of_a_lot_has_no_edition(settings):
    settings.PUBLIC_BASE_URL = "https://guides.example"
    assert addresses.read("https://guides.example/l/00000000") == addresses.of_lot(CODE)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "00000000",
        "/L/00000000",
        "HTTPS://GUIDES.EXAMPLE/",
        "HTTPS://GUIDES.EXAMPLE/L/00000001",
        "HTTPS://GUIDES.EXAMPLE/L/00000000/12.3",
        "HTTPS://GUIDES.EXAMPLE/L/00000000/0.3.SV",
        "HTTPS://GUIDES.EXAMPLE/L/00000000/12.3.SV/MORE",
        "HTTPS://GUIDES.EXAMPLE/L/00000000?TO=//ELSEWHERE",
        "HTTPS://GUIDES.EXAMPLE/01/09520123456788/10/OM-071",
        "http://[",
        "١٢/L/00000000",
    ],
)
def test_other_texts_are_no_printed_address(text):
    assert addresses.read(text) is None


@given(st.text())
def test_no_text_breaks_the_reading(text):
    assert addresses.read(text) is None or str(addresses.read(text))
