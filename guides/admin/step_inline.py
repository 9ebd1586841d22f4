"""The steps of a version, in order by place."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin
from django.forms.models import BaseInlineFormSet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from guides.models import GuideVersion, Step
from guides.presenters import numbers

from .clock import ClockTimes
from .desk import RowsInline
from .first_version import begun
from .forms import NamedFieldsForm
from .mixins import LockedOnceSubmitted, locked_reason


class StepForm(NamedFieldsForm):
    """A place left empty means the end."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.help_text = ""  # said once, above the first step
        if "position" in self.fields:
            self.fields["position"].required = False

    def has_changed(self) -> bool:
        # A place alone is no step yet: scripts number the rows, blank ones too.
        changed = super().has_changed()
        return changed and (self.instance.pk is not None or set(self.changed_data) != {"position"})

    def clean_position(self) -> int:
        place = self.cleaned_data.get("position")
        return _AT_THE_END if place is None else place


_AT_THE_END = 10_000


class StepFormSet(BaseInlineFormSet):
    """Numbers the steps 1, 2, 3 … as their writer put them."""

    def clean(self) -> None:
        super().clean()
        kept = [form for form in self.forms if counts(form)]
        for number, form in enumerate(sorted(kept, key=_wanted_place), start=1):
            form.instance.position = number
            if form.initial.get("position") != number and "position" not in form.changed_data:
                form.changed_data.append("position")  # or Django would think the row needs no saving


def counts(form: forms.ModelForm) -> bool:
    """Say whether a row of the form is a step: read, not taken out, and not left blank."""
    if not hasattr(form, "cleaned_data") or form.cleaned_data.get("DELETE"):
        return False
    return form.instance.pk is not None or form.has_changed()


def _wanted_place(form: forms.ModelForm) -> tuple[int, int]:
    """Where two claim one place, a step that is new or moved up goes before, one that is moved down after."""
    place = form.cleaned_data.get("position", _AT_THE_END)
    before = form.initial.get("position") if form.instance.pk else None
    if before is None or place < before:
        return place, 0
    return place, 1 if place == before else 2


class StepInline(LockedOnceSubmitted, ClockTimes, RowsInline):
    model = Step
    form = StepForm
    formset = StepFormSet
    clock_fields = ("start_s", "end_s")
    template = "guides/admin/steps.html"
    description = _(
        "Times as minutes and seconds, such as 0:40 or 1:05; the same twice for a single moment. Scale shows what has "
        "been poured in all by the end of the step, counted from the dry dose. A place left empty means the end; an "
        "earlier number moves a step up. Why: what, because, you'd notice, in 40 words."
    )
    _numbers = (("position", "action", "start_s", "end_s", "target_g"), ("path", "height", "turns", "anchor"))
    _shown_numbers = (("action", "clock", "target_g"), ("path", "height", "turns", "anchor"))
    _words = (_("Words"), {"fields": ("simple", "in_depth", "why"), "classes": ("words",)})

    def get_fieldsets(self, request: HttpRequest, obj: GuideVersion | None = None) -> Any:
        editable = not locked_reason(obj) and self.has_change_permission(request, obj)
        return (None, {"fields": self._numbers if editable else self._shown_numbers}), self._words

    def get_readonly_fields(self, request: HttpRequest, obj: GuideVersion | None = None) -> tuple[str, ...]:
        return () if self.has_change_permission(request, obj) else ("clock",)

    def get_extra(self, request: HttpRequest, obj: GuideVersion | None = None, **kwargs: Any) -> int:
        # Without JavaScript these are the rows to write in.
        opened = begun(request)
        if opened and opened.steps:
            return len(opened.steps) + 1
        return 1 if obj and obj.pk else 4

    @admin.display(description=_("clock"))
    def clock(self, step: Step) -> str:
        return numbers.clock_span(step.start_s, step.end_s)
