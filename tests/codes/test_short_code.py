"""The address code: what a slip of hand or eye does to it."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.codes import short_code

bodies = st.text(alphabet=short_code.ALPHABET, min_size=7, max_size=7)
codes = bodies.map(lambda body: body + short_code.check_character(body))


def test_alphabet_is_crockfords():
    # Crockford, Base 32: the ten digits and the letters without I, L, O and U, in this order.
    assert short_code.ALPHABET == "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def test_lower_case_and_look_alikes_are_read_as_crockford_has_it():
    # Crockford, Base 32: decoding accepts lower case, reads i and l as 1 and o as 0, and skips hyphens.
    code = "10" + "00000"
    code += short_code.check_character(code)
    for seen in ("1", "I", "i", "L", "l"):
        for nought in ("0", "O", "o"):
            assert short_code.normalise(f"{seen}{nought}-{code[2:].lower()}") == code


@given(codes)
def test_every_single_wrong_character_is_caught(code):
    for place, wrong in itertools.product(range(8), short_code.ALPHABET):
        if wrong != code[place]:
            assert not short_code.is_valid(code[:place] + wrong + code[place + 1 :])


@given(codes)
def test_every_two_characters_that_changed_places_are_caught(code):
    for first, second in itertools.combinations(range(8), 2):
        swapped = list(code)
        swapped[first], swapped[second] = swapped[second], swapped[first]
        if "".join(swapped) != code:
            assert not short_code.is_valid("".join(swapped))


def test_a_plain_sum_would_miss_swaps():
    """Negative control: the same sweep catches nothing where the check ignores places."""

    def plain(body: str) -> str:
        return short_code.ALPHABET[sum(map(short_code.ALPHABET.index, body)) % 32]

    assert plain("ABCDEFG") == plain("BACDEFG")


@given(st.text(max_size=12))
def test_any_text_is_a_code_or_is_refused_with_a_reason(text):
    try:
        assert short_code.is_valid(short_code.normalise(text))
    except short_code.BadCode as error:
        assert error.reason in ("length", "character", "check")  # noqa: PT017


@pytest.mark.parametrize(
    ("text", "reason"),
    [("1234567", "length"), ("123456789", "length"), ("U0000000", "character"), ("00000001", "check")],
)
def test_refusals_say_what_is_wrong(text, reason):
    with pytest.raises(short_code.BadCode) as refusal:
        short_code.normalise(text)
    assert refusal.value.reason == reason


def test_new_codes_are_valid_and_differ():
    made = [short_code.new() for _ in range(2000)]
    assert all(map(short_code.is_valid, made))
    assert len(set(made)) == len(made)
    # 35 random bits: every character turns up in every random place.
    assert all({code[place] for code in made} == set(short_code.ALPHABET) for place in range(7))
