"""The buttons of a guide version."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from guides.choices import OPEN_STATES, State
from guides.lifecycle import approve, draft, go_back, publish, review, roles, schedule, withdraw, words_only
from guides.lifecycle.transitions import APPROVE, CALL_OFF, PUBLISH, SCHEDULE, SEND_BACK, SUBMIT, WITHDRAW, Transition
from guides.models import GuideVersion, User
from guides.queries import versions

from .acts import Act
from .version_act_forms import (
    ApproveForm,
    CallOffForm,
    GoBackForm,
    PublishForm,
    ScheduleForm,
    SeenForm,
    SendBackForm,
    SubmitForm,
    WithdrawForm,
)


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
    return review.send_back(version, by=by, reason=data["reason"], comments=data["comments"])


def _publish(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return publish.publish(version, by=by, waiver_reason=data.get("waiver_reason", ""))


def _approve(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return approve.approve(version, by=by, waiver_reason=data["waiver_reason"])


def _schedule(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return schedule.schedule(version, by=by, publish_at=data["publish_at"])


def _call_off(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return schedule.call_off(version, by=by, reason=data["reason"])


def _go_back(version: GuideVersion, by: User, data: dict[str, Any]) -> GuideVersion:
    return go_back.go_back(version, by=by, waiver_reason=data["waiver_reason"])


def _publish_words(version: GuideVersion, by: User, _data: dict[str, Any]) -> GuideVersion:
    return words_only.publish(version, by=by)


def _is_words_only(version: GuideVersion) -> bool:
    return version.state == State.DRAFT and not words_only.refusals(version, versions.current(version.guide))


def _is_past(version: GuideVersion) -> bool:
    """An earlier revision, and nothing open that would stand in the way."""
    if not _no_open_draft(version):
        return False
    newest = versions.current(version.guide)
    return newest is None or newest.pk != version.pk


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
        name="publish-words",
        label=_("Publish the translation"),
        explain=_(
            "Only translations differ from the published revision. They become the next one, with the very same "
            "numbers, so nobody need brew it again. Words in print can never be changed."
        ),
        done=_("%(object)s is published."),
        may=lambda user, _version: roles.may(user, PUBLISH),
        fits=_is_words_only,
        run=_publish_words,
        form=SeenForm,
        danger=True,
    ),
    Act(
        label=_("Approve"),
        explain=_("It may be published from now on, at once or at a time. It stays in review until then."),
        done=_("%(object)s is approved."),
        run=_approve,
        form=ApproveForm,
        **{**_move(APPROVE), "fits": lambda version: version.state == State.IN_REVIEW and version.approved_at is None},
    ),
    Act(
        label=_("Publish at a time"),
        explain=_("The worker publishes it then, if its plan still holds. It can be called off until then."),
        done=_("%(object)s waits for its time."),
        run=_schedule,
        form=ScheduleForm,
        **{**_move(SCHEDULE), "fits": lambda version: version.state == State.IN_REVIEW and bool(version.approved_at)},
    ),
    Act(
        label=_("Call publishing off"),
        explain=_("The time is taken back. It stays approved and in review."),
        done=_("%(object)s is not published at a time any more."),
        run=_call_off,
        form=CallOffForm,
        **{**_move(CALL_OFF), "fits": lambda version: version.publish_at is not None},
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
        name="go-back",
        label=_("Go back to this revision"),
        explain=_(
            "The same words and numbers become the next revision, after review like any other. What is printed stays."
        ),
        done=_("Here it is again; %(object)s."),
        may=_may_open,
        fits=_is_past,
        run=_go_back,
        form=GoBackForm,
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
