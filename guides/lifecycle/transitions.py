"""The one table of what a guide version may become, and who may make it so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import State, Verb
from guides.models import GuideVersion

from .errors import Refusal


@dataclass(frozen=True)
class Transition:
    """A legal move. Any one of ``permissions`` is enough to make it; ``act`` says it in words: "may not …".

    Where ``target`` is ``source``, something about the version changes and it stays where it is.
    """

    name: str
    source: State
    target: State
    permissions: tuple[str, ...]
    verb: Verb
    act: str | Promise


SUBMIT: Final = Transition(
    "submit",
    State.DRAFT,
    State.IN_REVIEW,
    ("guides.submit_guideversion",),
    Verb.SUBMITTED,
    _("submit guides for review"),
)
SEND_BACK: Final = Transition(
    "send_back",
    State.IN_REVIEW,
    State.DRAFT,
    ("guides.publish_guideversion", "guides.submit_guideversion"),
    Verb.RETURNED,
    _("return guides"),
)
APPROVE: Final = Transition(
    "approve",
    State.IN_REVIEW,
    State.IN_REVIEW,
    ("guides.publish_guideversion",),
    Verb.APPROVED,
    _("approve guides"),
)
SCHEDULE: Final = Transition(
    "schedule",
    State.IN_REVIEW,
    State.IN_REVIEW,
    ("guides.publish_guideversion",),
    Verb.SCHEDULED,
    _("set a time to publish guides"),
)
CALL_OFF: Final = Transition(
    "call_off",
    State.IN_REVIEW,
    State.IN_REVIEW,
    ("guides.publish_guideversion",),
    Verb.CALLED_OFF,
    _("call publishing off"),
)
RESOLVE: Final = Transition(
    "resolve",
    State.DRAFT,
    State.DRAFT,
    ("guides.change_guideversion",),
    Verb.RESOLVED,
    _("mark comments done"),
)
PUBLISH: Final = Transition(
    "publish",
    State.IN_REVIEW,
    State.PUBLISHED,
    ("guides.publish_guideversion",),
    Verb.PUBLISHED,
    _("publish guides"),
)
WITHDRAW: Final = Transition(
    "withdraw",
    State.PUBLISHED,
    State.WITHDRAWN,
    ("guides.withdraw_guideversion",),
    Verb.WITHDRAWN,
    _("withdraw guides"),
)
ALL: Final = (SUBMIT, RESOLVE, SEND_BACK, APPROVE, SCHEDULE, CALL_OFF, PUBLISH, WITHDRAW)

_FIRST: Final = {
    State.DRAFT: _("Submit it for review first."),
    State.IN_REVIEW: _("Publish it or return it to its writer."),
    State.PUBLISHED: _("Open the next draft to change it, or withdraw it."),
    State.WITHDRAWN: _("Open the next draft to bring it back."),
}


def legal(version: GuideVersion) -> tuple[Transition, ...]:
    """Moves that a version can make from where it stands."""
    return tuple(transition for transition in ALL if transition.source == version.state)


def state_refusals(version: GuideVersion, transition: Transition) -> list[Refusal]:
    """Why a version cannot make a move from where it stands; empty if it can."""
    if version.state == transition.source:
        return []
    if transition.source == transition.target:
        needs = _("This version is {state}, and this can be done only while it is {source}. {first}")
    else:
        needs = _("This version is {state}; only one that is {source} can become {target}. {first}")
    return [
        Refusal(
            format_lazy(
                needs,
                state=version.get_state_display(),
                source=transition.source.label,
                target=transition.target.label,
                first=_FIRST[State(version.state)],
            ),
            field="state",
        )
    ]
