"""What each act on a version asks for."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.lifecycle import approve
from guides.lifecycle.review import Comment
from guides.models import Guide

from .acts import ActForm
from .forms import put_back


class SeenForm(ActForm):
    """Acts on what the person saw: a draft saved by somebody else meanwhile is looked at again first."""

    seen = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen"].initial = self.obj.edit_number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.cleaned_data.get("seen") != self.obj.edit_number:
            # The next press acts on what is here now.
            put_back(self, "seen", self.obj.edit_number)
            raise ValidationError(_("Somebody saved this draft after you opened this page. Read it again first."))
        return cleaned


class SubmitForm(SeenForm):
    note = forms.CharField(
        label=_("Note for the reviewer"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Such as: new crop, please watch when it has drained."),
    )


class SendBackForm(ActForm):
    """A reason for the whole, and a comment for each step that wants one."""

    reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What to change and why, such as: pour two runs past the rim. Or leave it to comments at steps."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for index, step in enumerate(self.obj.steps.all()):
            self.fields[f"step_{index}"] = forms.CharField(
                label=_("Step %(number)s, %(what)s") % {"number": index + 1, "what": step.get_action_display()},
                required=False,
                max_length=300,
                widget=forms.Textarea(attrs={"rows": 2}),
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        steps = (name for name in self.fields if name.startswith("step_"))
        cleaned["comments"] = [
            Comment(cleaned[name], int(name.removeprefix("step_"))) for name in steps if cleaned.get(name)
        ]
        return cleaned


class ApproveForm(SeenForm):
    waiver_reason = forms.CharField(
        label=_("Why without a second pair of eyes"), required=False, max_length=200, widget=forms.TextInput
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        missing = approve.approval_refusals(self.obj, self.by)
        self.fields["waiver_reason"].help_text = " ".join(str(refusal) for refusal in missing) or _(
            "Not needed: it has been brewed and read by others."
        )


class PublishForm(ApproveForm):
    """What is approved needs no second reason."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.obj.approved_at is not None:
            del self.fields["waiver_reason"]


class ScheduleForm(SeenForm):
    publish_at = forms.DateTimeField(
        label=_("Time"), widget=forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        tomorrow = timezone.localtime() + datetime.timedelta(days=1)
        self.fields["publish_at"].initial = self.obj.publish_at or tomorrow.replace(hour=6, minute=0)
        self.fields["publish_at"].help_text = _("By the clock of %(zone)s; the worker publishes within a minute.") % {
            "zone": timezone.get_current_timezone_name()
        }


class CallOffForm(ActForm):
    reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=300,
        help_text=_("Such as: the bags come a week later. It stays approved."),
    )


class GoBackForm(ActForm):
    waiver_reason = forms.CharField(
        label=_("Why without a second pair of eyes"),
        required=False,
        max_length=200,
        help_text=_("Empty: it goes to review and waits for a check brew. With a reason it is published at once."),
    )


class WithdrawForm(ActForm):
    withdrawn_reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=200,
        help_text=_("Readers of an old insert are told this, such as: drains too slowly with the new crop."),
    )
    replacement = forms.ModelChoiceField(
        Guide.objects.none(), label=_("Use instead"), required=False, help_text=_("Another guide, if there is one.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Guide.objects.filter(coffee=self.obj.guide.coffee_id).exclude(pk=self.obj.guide_id)
        self.fields["replacement"].queryset = others  # type: ignore[attr-defined]
