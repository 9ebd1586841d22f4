"""The buttons of a guide version."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from guides.choices import OPEN_STATES
from guides.lifecycle import approve, draft, publish, review, roles, withdraw
from guides.lifecycle.transitions import PUBLISH, SEND_BACK, SUBMIT, WITHDRAW, Transition
from guides.models import Guide, GuideVersion, User
from guides.queries import versions

from .acts import Act, ActForm
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
    reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What to change and why, such as: step 3 does not say how far to stir."),
    )


class PublishForm(SeenForm):
    waiver_reason = forms.CharField(
        label=_("Why without a second pair of eyes"), required=False, max_length=200, widget=forms.TextInput
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        missing = approve.approval_refusals(self.obj, self.by)
        self.fields["waiver_reason"].help_text = " ".join(str(refusal) for refusal in missing) or _(
            "Not needed: it has been brewed and read by others."
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


def _move(transition: Transition) -> dict[str, Any]:
    return {
        "name": transition.name.replace("_", "-"),
        "may": lambda user, _version: roles.may(user, transition),
        "fits": lambda version: version.state == transition.source,
    }


def _may_open(user: User, _version: GuideVersion) -> bool:
    return user.has_perm("guides.add_guideversion")


def _no_open_draft(version: GuideVersion) -> bool:
    return version.state not in OPEN_STATES and versions.open_draft(version.guide) is None


def _submit(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return review.submit(version, by=by, note=data["note"])


def _send_back(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return review.send_back(version, by=by, reason=data["reason"])


def _publish(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return publish.publish(version, by=by, waiver_reason=data["waiver_reason"])


def _withdraw(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return withdraw.withdraw(version, by=by, reason=data["withdrawn_reason"], replacement=data["replacement"])


def _open_next(version: GuideVersion, by: User, _data: dict[str, Any]) -> GuideVersion:
    return draft.open_next(version.guide, by=by, based_on=version)


VERSION_ACTS = (
    Act(
        label=_("Submit for review"),
        explain=_("A second person reads it and brews from it. Until it comes back nobody can change it."),
        done=_("%(object)s waits for review."),
        run=_submit,
        form=SubmitForm,
        **_move(SUBMIT),
    ),
    Act(
        label=_("Publish"),
        explain=_(
            "It gets the next revision number and is shown to customers at once. Its numbers and words can never be "
            "changed again; what comes after is a new revision."
        ),
        done=_("%(object)s is published."),
        run=_publish,
        form=PublishForm,
        danger=True,
        **_move(PUBLISH),
    ),
    Act(
        label=_("Return to its writer"),
        explain=_("It becomes a draft again, for its writer to go on with."),
        done=_("%(object)s is a draft again."),
        run=_send_back,
        form=SendBackForm,
        **_move(SEND_BACK),
    ),
    Act(
        name="open-next",
        label=_("Open the next draft"),
        explain=_("A copy to work on, words and numbers. What is printed stays as it is."),
        done=_("Here is the draft; %(object)s."),
        may=_may_open,
        fits=_no_open_draft,
        run=_open_next,
    ),
    Act(
        label=_("Withdraw"),
        explain=_("Its codes keep working and show that it is withdrawn, and why. This cannot be taken back."),
        done=_("%(object)s is withdrawn."),
        run=_withdraw,
        form=WithdrawForm,
        danger=True,
        **_move(WITHDRAW),
    ),
)
