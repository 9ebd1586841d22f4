"""One way to write a snapshot down, so that equal content has equal bytes and an equal hash on every database."""

from __future__ import annotations

import hashlib
import json
from typing import Any, Final

DECIMALS: Final = 6


def text(value: Any) -> str:
    """Write JSON with sorted keys, no spaces, and every number with six decimals.

    A database may hand 60 back for 60.0, or keys in another order; neither changes this text.

    Raises:
        TypeError: something that JSON does not hold.
        ValueError: a number that is not finite.
    """
    return json.dumps(_fixed(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def sha256(value: Any) -> str:
    """Give the SHA-256 of the canonical text, in hexadecimal."""
    return hashlib.sha256(text(value).encode()).hexdigest()


def _fixed(value: Any) -> Any:
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, int | float):
        if value != value or value in (float("inf"), float("-inf")):
            raise ValueError(f"{value} cannot be written down")
        written = f"{value:.{DECIMALS}f}"
        return written.removeprefix("-") if float(written) == 0 else written
    if isinstance(value, dict):
        return {str(key): _fixed(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_fixed(item) for item in value]
    raise TypeError(f"{type(value).__name__} does not belong in a snapshot")
