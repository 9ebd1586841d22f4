"""Whether a colour can be read on another."""

from __future__ import annotations

from typing import Final

PAPER: Final = "#faf8f3"
"""The paper of every page, as in ``static/css/tokens.css``."""

LEAST_FOR_TEXT: Final = 4.5
"""WCAG 2.2, success criterion 1.4.3."""


def ratio(one: str, other: str) -> float:
    """Give the contrast of two colours, from 1 (the same) to 21 (black on white), in either order.

    Args:
        one: ``#rrggbb``.
        other: ``#rrggbb``.

    Source: WCAG 2.2, definitions of contrast ratio and relative luminance.

    >>> ratio("#000000", "#ffffff")
    21.0
    """
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    red, green, blue = (_linear(int(colour[start : start + 2], 16) / 255) for start in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)
