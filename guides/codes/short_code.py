"""The address code: eight characters that survive a wet bag, a shaky hand and a telephone call.

Crockford's base 32 leaves out I, L, O and U, so every character of a code is also in the QR alphanumeric set. Seven
characters are random (35 bits); the eighth is a check character over GF(32) that catches every single wrong
character and every two that changed places. Crockford's own check set is not used: five of its characters cannot
stand in a QR alphanumeric symbol or an address.
"""

from __future__ import annotations

import secrets

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 8
_LOOK_ALIKES = str.maketrans("ILO", "110", "- ")
_POLYNOMIAL = 0b100101  # x^5 + x^2 + 1, primitive over GF(2)


class BadCode(ValueError):
    """The text is not an address code. ``reason`` is ``length``, ``character`` or ``check``."""

    def __init__(self, text: str, reason: str) -> None:
        self.text = text
        self.reason = reason
        super().__init__(f"{text!r} is not an address code ({reason})")


def new() -> str:
    """Return a fresh random code.

    Returns:
        Eight characters, the last a check character. Whether it is already taken is for the caller to see.

    >>> is_valid(new())
    True
    """
    body = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH - 1))
    return body + check_character(body)


def check_character(body: str) -> str:
    """Return the check character of the seven that lead a code.

    Args:
        body: seven characters of the alphabet.

    Returns:
        One character: the sum of the values, each weighted with a different power of the field's generator.

    Raises:
        ValueError: a character outside the alphabet.

    >>> check_character("0000000")
    '0'
    """
    total = 0
    for character in body:
        total = _double(total ^ ALPHABET.index(character))
    return ALPHABET[total]


def normalise(text: str) -> str:
    """Return a code as printed, from what somebody typed or scanned.

    Args:
        text: a code in either case; hyphens and spaces are dropped, I and L read as 1, O as 0.

    Returns:
        The code in upper case.

    Raises:
        BadCode: wrong length, a character that no code has, or a check character that does not fit.

    >>> normalise("ooo0-oo0o")
    '00000000'
    """
    code = text.upper().translate(_LOOK_ALIKES)
    if len(code) != LENGTH:
        raise BadCode(text, "length")
    if any(character not in ALPHABET for character in code):
        raise BadCode(text, "character")
    if check_character(code[:-1]) != code[-1]:
        raise BadCode(text, "check")
    return code


def is_valid(text: str) -> bool:
    """Say whether ``text`` is a code exactly as printed.

    Args:
        text: anything.

    Returns:
        True only for upper case without separators.

    >>> is_valid("00000000"), is_valid("0000-0000")
    (True, False)
    """
    try:
        return normalise(text) == text
    except BadCode:
        return False


def _double(value: int) -> int:
    doubled = value << 1
    return doubled ^ _POLYNOMIAL if doubled & 0b100000 else doubled
