"""Times of a brew, typed and shown as minutes and seconds."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.db import models
from django.http import HttpRequest
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from guides.presenters import numbers

_LONGEST_S = 2 * 60 * 60
_TIME = re.compile(r"(?:(?P<minutes>\d{1,3}):)?(?P<seconds>\d{1,4})")


class ClockInput(forms.TextInput):
    """Shows stored seconds as m:ss, and what could not be read as it was typed."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"size": 5, "class": "clock", "autocomplete": "off", **(attrs or {})})

    def format_value(self, value: Any) -> str | None:
        return numbers.clock(value) if isinstance(value, int) else super().format_value(value)


class ClockField(forms.Field):
    """Accepts "1:05", "65" and "0:40"; gives whole seconds."""

    widget = ClockInput
    default_error_messages = {
        "invalid": _("“%(value)s” is no time. Write minutes and seconds such as 1:05, or seconds alone such as 65."),
        "seconds": _("“%(value)s”: after the colon go two digits from 00 to 59, such as 1:05."),
        "long": _("“%(value)s” is more than two hours. Write minutes and seconds such as 1:05."),
    }

    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values or isinstance(value, int):
            return value or None if value != 0 else 0
        text = str(value).strip()
        found = _TIME.fullmatch(text)
        if found is None:
            raise self._error("invalid", text)
        minutes, seconds = found["minutes"], int(found["seconds"])
        if minutes is not None and (len(found["seconds"]) != 2 or seconds > 59):
            raise self._error("seconds", text)
        total = int(minutes or 0) * 60 + seconds
        if total > _LONGEST_S:
            raise self._error("long", text)
        return total

    def _error(self, code: str, text: str) -> ValidationError:
        return ValidationError(self.error_messages[code], code=code, params={"value": text})


class ClockTimes(admin.options.BaseModelAdmin):
    """Gives the columns named in ``clock_fields`` such a field."""

    clock_fields: tuple[str, ...] = ()

    def formfield_for_dbfield(self, db_field: models.Field, request: HttpRequest, **kwargs: Any) -> forms.Field | None:
        if db_field.name in self.clock_fields:
            return ClockField(
                label=capfirst(db_field.verbose_name), help_text=db_field.help_text, required=not db_field.blank
            )
        return super().formfield_for_dbfield(db_field, request, **kwargs)
