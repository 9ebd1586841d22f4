"""The buttons of a trial brew."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.lifecycle import new_lot, trial_photo, trials
from guides.lifecycle.from_trial import open_from_trial
from guides.lifecycle.step_media import PictureKept
from guides.media.keep import Kept, keep_picture
from guides.models import Guide, GuideVersion, Lot, TrialBrew, User
from guides.models.kept_picture import LONGEST_ALT
from guides.queries import misfits

from .acts import Act, ActForm
from .uploads import picture_field


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


class AsideForm(ActForm):
    reason = forms.CharField(
        label=_("Why"), max_length=200, help_text=_("Such as: the paper had folded over, half of it ran past the bed.")
    )


class KeepForm(ActForm):
    reason = forms.CharField(
        label=_("Why"),
        max_length=300,
        help_text=_("Such as: beside the old crop, nobody could tell them apart."),
    )


class PhotoForm(ActForm):
    """Takes a picture and stores it; what it shows is said in words, for those who do not see it."""

    picture = picture_field(_("Photo"))
    alt = forms.CharField(
        label=_("What it shows, in words"), max_length=LONGEST_ALT, help_text=_("Such as: an even bed, a bare wall.")
    )

    def clean_picture(self) -> Kept:
        upload = self.cleaned_data["picture"]
        if not upload:
            raise ValidationError(self.fields["picture"].error_messages["required"], code="required")
        return keep_picture(upload, upload.size)


def _show(brew: TrialBrew, by: User, data: dict[str, Any]) -> TrialBrew:
    alt = {get_language() or "en": data["alt"]}
    trial_photo.show(brew, PictureKept(**{**asdict(data["picture"]), "alt": alt}), by=by)
    return brew


def _guides(brew: TrialBrew) -> Any:
    return Guide.objects.filter(coffee=brew.lot.coffee_id, versions__isnull=False).distinct()


def _run(brew: TrialBrew, by: User, data: dict[str, Any]) -> GuideVersion:
    return open_from_trial(brew, by=by, guide=data.get("guide"))


def _inherit(brew: TrialBrew, by: User, data: dict[str, Any]) -> Lot:
    return new_lot.inherit(brew, by=by).lot


def _keep(brew: TrialBrew, by: User, data: dict[str, Any]) -> Lot:
    return new_lot.keep(brew, by=by, reason=data["reason"]).lot


def _may_inherit(brew: TrialBrew) -> bool:
    found = new_lot.verdict(brew)
    return found is not None and found.is_newest and found.inside and not found.is_shown


def _may_be_held(brew: TrialBrew) -> bool:
    found = new_lot.verdict(brew)
    return found is not None and found.is_newest and not found.inside and not found.is_held


def _may_be_kept(brew: TrialBrew) -> bool:
    return _may_be_held(brew) and misfits.kept(brew) is None


def _may_write(user: User, _brew: TrialBrew) -> bool:
    return user.has_perm("guides.change_trialbrew")


def _may_adjust(user: User, _brew: TrialBrew) -> bool:
    return user.has_perms(("guides.change_assignment", "guides.add_guideversion"))


TRIAL_ACTS = (
    Act(
        name="inherit",
        label=_("Let the lot inherit the guide"),
        explain=_(
            "The brew drained inside the guide's window: the guide as it is published is shown for this lot too."
        ),
        done=_("%(object)s shows the guide now."),
        may=lambda user, _brew: user.has_perm("guides.change_assignment"),
        fits=_may_inherit,
        run=_inherit,
    ),
    Act(
        name="hold",
        label=_("Hold the guide for this lot, and adjust"),
        explain=_(
            "It drained outside the guide's window. The guide is taken off this lot's page, and the next draft is "
            "opened with the grind that the calculations suggest. It is a suggestion: brew it before you publish it. A "
            "draft that is open already is left as it is."
        ),
        done=_("The guide is held for this lot. Here is the draft; %(object)s."),
        may=_may_adjust,
        fits=_may_be_held,
        run=lambda brew, by, _data: new_lot.hold_and_adjust(brew, by=by),
    ),
    Act(
        name="keep",
        label=_("Keep the guide for this lot all the same"),
        explain=_(
            "It drained outside the guide's window. The guide is shown for this lot as it is published, and the "
            "reason stands in the history."
        ),
        done=_("%(object)s shows the guide, and the reason is kept."),
        may=lambda user, _brew: user.has_perm("guides.change_assignment"),
        fits=_may_be_kept,
        run=_keep,
        form=KeepForm,
    ),
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
    Act(
        name="photo",
        label=_("Put a photo on it"),
        explain=_("The bed, the cup, whatever words miss. A new photo takes its place. Customers never see it."),
        done=_("%(object)s has a photo."),
        may=_may_write,
        fits=lambda _brew: True,
        run=_show,
        form=PhotoForm,
    ),
    Act(
        name="set-aside",
        label=_("Set aside"),
        explain=_("The brew stays in every list and drawing, marked, and teaches nothing. It can be taken back."),
        done=_("%(object)s is set aside."),
        may=_may_write,
        fits=lambda brew: not brew.is_set_aside,
        run=lambda brew, by, data: trials.set_aside(brew, by=by, reason=data["reason"]),
        form=AsideForm,
    ),
    Act(
        name="take-back",
        label=_("Let it count again"),
        explain=_("The brew teaches again, as if it had never been set aside."),
        done=_("%(object)s counts again."),
        may=_may_write,
        fits=lambda brew: brew.is_set_aside,
        run=lambda brew, by, _data: trials.take_back(brew, by=by),
    ),
)
