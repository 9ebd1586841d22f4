"""The button of a trial brew."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.from_trial import open_from_trial
from guides.models import Guide, GuideVersion, TrialBrew, User

from .acts import Act, ActForm


class FromTrialForm(ActForm):
    """Asks for the guide only where the brew followed no plan."""

    guide = forms.ModelChoiceField(
        Guide.objects.none(),
        label=_("Guide"),
        required=False,
        help_text=_("The steps and words of its newest version are taken, and the numbers of this brew."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.obj.version_id is not None:
            del self.fields["guide"]
            return
        guides = _guides(self.obj)
        self.fields["guide"].queryset = guides  # type: ignore[attr-defined]
        same_brewer = guides.filter(versions__brewer=self.obj.brewer_id).first()
        self.fields["guide"].initial = same_brewer or guides.first()


def _guides(brew: TrialBrew) -> Any:
    return Guide.objects.filter(coffee=brew.lot.coffee_id, versions__isnull=False).distinct()


def _run(brew: TrialBrew, by: User, data: dict[str, Any]) -> GuideVersion:
    return open_from_trial(brew, by=by, guide=data.get("guide"))


TRIAL_ACTS = (
    Act(
        name="open-draft",
        label=_("Make a draft from this brew"),
        explain=_(
            "Dose, water, kettle, grind and the opening of the valve are taken from this brew, and the pours scaled to "
            "its water. Words come from the plan it followed. Nothing is published by this; if the plan it followed is "
            "itself still a draft, that draft gets these numbers."
        ),
        done=_("Here is the draft; %(object)s."),
        may=lambda user, _brew: user.has_perm("guides.add_guideversion"),
        fits=lambda brew: brew.version_id is not None or _guides(brew).exists(),
        run=_run,
        form=FromTrialForm,
    ),
)
