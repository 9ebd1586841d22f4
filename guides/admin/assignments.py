"""The guides of a lot: rows on its page, each saved by an act of the lifecycle and so in its history."""

from __future__ import annotations

from typing import Any

from django.forms.models import BaseInlineFormSet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from guides.choices import FROZEN_STATES, Follow
from guides.lifecycle import assign
from guides.lifecycle.errors import Refused
from guides.models import Assignment, Guide, GuideVersion, Lot, User

from .desk import RowsInline
from .forms import NamedFieldsForm


class RowRefused(Exception):
    """The lifecycle refused a row; the page is shown again with the reasons at it."""

    def __init__(self, index: int, refused: Refused) -> None:
        self.index, self.refused = index, refused
        super().__init__(str(refused))


class AssignmentForm(NamedFieldsForm):
    class Meta:
        help_texts = {
            "pinned": _("Only where it stays on one revision."),
            "held_reason": _("Only where it is held, such as: drains late with the new crop."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk and "guide" in self.fields:
            self.fields["guide"].disabled = True  # a printed code names it


class AssignmentFormSet(BaseInlineFormSet):
    refused: RowRefused | None = None

    def clean(self) -> None:
        super().clean()
        if self.refused is None:
            return
        form: Any = self.forms[self.refused.index]
        form.say(self.refused.refused)


class AssignmentInline(RowsInline):
    model = Assignment
    form = AssignmentForm
    formset = AssignmentFormSet
    extra = 0
    can_delete = False  # an insert may be printed; a guide that should not be shown is held
    verbose_name_plural = _("Guides of this lot")
    fields = (("guide", "follow"), ("pinned", "held_reason"))

    def get_queryset(self, request: HttpRequest) -> Any:
        return super().get_queryset(request).select_related("guide", "pinned", "lot")

    def get_extra(self, request: HttpRequest, obj: Lot | None = None, **kwargs: Any) -> int:
        return 0 if obj and obj.assignments.exists() else 1

    def get_formset(self, request: HttpRequest, obj: Lot | None = None, **kwargs: Any) -> Any:
        formset: Any = super().get_formset(request, obj, **kwargs)
        formset.refused = getattr(request, "row_refused", None)
        fields = formset.form.base_fields
        if "guide" in fields:
            of_coffee = {"coffee": obj.coffee_id} if obj else {}
            fields["guide"].queryset = Guide.objects.filter(**of_coffee)
            pins = GuideVersion.objects.filter(state__in=FROZEN_STATES).select_related("guide")
            fields["pinned"].queryset = pins.filter(guide__coffee=obj.coffee_id) if obj else pins
        return formset


def save_assignments(formset: Any, *, by: User) -> None:
    """Save changed rows through the lifecycle.

    Raises:
        RowRefused: the first row that is refused; whoever called rolls back.
    """
    formset.save(commit=False)
    for index, form in enumerate(formset.forms):
        if form.has_changed():
            try:
                _save(form.instance, by)
            except Refused as refused:
                raise RowRefused(index, refused) from refused


def _save(wanted: Assignment, by: User) -> None:
    stored = Assignment.objects.filter(lot=wanted.lot, guide=wanted.guide).first()
    if wanted.follow == Follow.HELD:
        assign.hold(stored or assign.assign(wanted.lot, wanted.guide, by=by), by=by, reason=wanted.held_reason)
    elif wanted.follow == Follow.NEWEST and stored and stored.follow == Follow.HELD:
        assign.release(stored, by=by)
    else:
        assign.assign(wanted.lot, wanted.guide, by=by, pinned=wanted.pinned)
