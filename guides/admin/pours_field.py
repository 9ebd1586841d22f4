"""Pours of a brew as they were, typed a line each: from, to and what the scale showed, such as "0:00–0:12 60"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from guides.presenters import numbers

from .clock import ClockField

MOST_POURS = 20
_LINE = re.compile(r"(?P<start>[\d:]+)\s*(?:[-–—]|\s)\s*(?P<end>[\d:]+)\s+(?P<grams>\d+(?:[.,]\d)?)\s*g?")


class PoursInput(forms.Textarea):
    """Shows stored pours a line each, and what could not be read as it was typed."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"rows": 4, "cols": 20, "class": "pours", "autocomplete": "off", **(attrs or {})})

    def format_value(self, value: Any) -> str | None:
        return written(value) if isinstance(value, list) else super().format_value(value)


class PoursField(forms.Field):
    """Gives a list of [from s, to s, scale g]."""

    widget = PoursInput
    default_error_messages = {
        "line": _("“%(value)s”: write from, to and what the scale showed, such as 0:00–0:12 60."),
        "order": _("“%(value)s”: a pour ends after it begins, begins after the one before, and the scale only rises."),
        "many": _("Up to 20 pours."),
    }

    def to_python(self, value: Any) -> list[list[float]]:
        if isinstance(value, list):
            return value
        lines = [line.strip() for line in str(value or "").splitlines() if line.strip()]
        if len(lines) > MOST_POURS:
            raise ValidationError(self.error_messages["many"], code="many")
        pours: list[list[float]] = []
        for line in lines:
            pour = self._pour(line)
            before = pours[-1] if pours else [0.0, 0.0, 0.0]
            if not before[1] <= pour[0] <= pour[1] or pour[2] <= before[2]:
                raise self._error("order", line)
            pours.append(pour)
        return pours

    def _pour(self, line: str) -> list[float]:
        found = _LINE.fullmatch(line)
        if found is None:
            raise self._error("line", line)
        times = [ClockField(required=True).clean(found[name]) for name in ("start", "end")]
        return [float(times[0] or 0), float(times[1] or 0), float(found["grams"].replace(",", "."))]

    def _error(self, code: str, line: str) -> ValidationError:
        return ValidationError(self.error_messages[code], code=code, params={"value": line})


def written(pours: Sequence[Sequence[float]]) -> str:
    """Give pours as they are typed."""
    lines = (f"{numbers.clock(start)}–{numbers.clock(end)} {grams:g}" for start, end, grams in pours)
    return "\n".join(lines)
