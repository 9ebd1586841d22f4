"""What a save did to the numbers of a draft, old and new: kept with the save, so that the next to save can be told.

Only numbers that a writer enters are kept. Words are not: the log says which were changed.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.contrib import admin
from django.contrib.admin.models import LogEntry
from django.http import HttpRequest
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from guides.models import GuideVersion, Step
from guides.presenters.numbers import EN_DASH, Figures, clock

from .clock import ClockField

_KEY: Final = "numbers"
"""Beside what Django keeps of a save, which passes over what it does not know."""


class SavesTold(admin.ModelAdmin):
    """Keeps old and new numbers with each save of a version."""

    def construct_change_message(
        self, request: HttpRequest, form: Any, formsets: Any, add: bool = False
    ) -> list[dict[str, Any]]:
        message: list[dict[str, Any]] = super().construct_change_message(request, form, formsets, add)
        if not add:
            rows = [row for formset in formsets or () for row in formset.initial_forms if not _taken_out(row)]
            message.append({_KEY: [*_numbers(form), *(number for row in rows for number in _numbers(row))]})
        return message


def told(entry: LogEntry) -> list[str]:
    """Say the numbers that a save changed, such as "Dose, g 15 → 16" or "Step 3, to 1:00 → 1:05"."""
    try:
        message = json.loads(entry.change_message)
    except json.JSONDecodeError:
        return []
    parts = message if isinstance(message, list) else []
    return [_say(number) for part in parts for number in part.get(_KEY, ())]


def _taken_out(row: forms.ModelForm) -> bool:
    return bool(row.cleaned_data.get("DELETE"))


def _numbers(form: forms.ModelForm) -> Iterator[dict[str, Any]]:
    step = form.instance.position if isinstance(form.instance, Step) else None
    for name in form.changed_data:
        field = form.fields.get(name)
        if isinstance(field, (forms.DecimalField, forms.IntegerField, ClockField)) and name != "position":
            old, new = form.initial.get(name), form.cleaned_data.get(name)
            yield {"step": step, "field": name, "old": _plain(old), "new": _plain(new)}


def _plain(value: Any) -> str | None:
    return None if value is None else str(value)


def _say(number: dict[str, Any]) -> str:
    step, name = number["step"], number["field"]
    field: Any = (GuideVersion if step is None else Step)._meta.get_field(name)
    old, new = (_shown(name, number[side]) for side in ("old", "new"))
    if step is None:
        return _("%(field)s %(old)s → %(new)s") % {"field": field.verbose_name, "old": old, "new": new}
    return _("step %(number)s, %(field)s %(old)s → %(new)s") % {
        "number": step,
        "field": field.verbose_name,
        "old": old,
        "new": new,
    }


def _shown(name: str, value: str | None) -> str:
    if value is None:
        return EN_DASH
    if name.endswith("_s"):
        return clock(int(value))
    return Figures(get_language() or "en").number(float(Decimal(value)), 2)
