"""GS1 keys: check digits (GS1 General Specifications, section 7.9)."""

from __future__ import annotations


def check_digit(digits: str) -> str:
    """Return the check digit that belongs behind ``digits``.

    Args:
        digits: a key without its check digit, any length.

    Returns:
        One digit: weights 3, 1, 3 … from the right, up to the next multiple of ten.

    Raises:
        ValueError: something that is not a digit.

    >>> check_digit("629104150021")
    '3'
    """
    if not digits.isascii() or not digits.isdigit():
        raise ValueError(f"{digits!r} holds more than digits")
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return str(-total % 10)


def is_gtin14(text: str) -> bool:
    """Say whether ``text`` is a GTIN in its 14-digit form.

    Args:
        text: anything; shorter GTINs must be zero padded first.

    Returns:
        True for 14 digits whose last is the check digit of the rest.

    >>> is_gtin14("09520123456788")
    True
    """
    return len(text) == 14 and text.isascii() and text.isdigit() and check_digit(text[:-1]) == text[-1]
