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
    """A legal move. Any one of ``permissions`` is enough to make it; ``act`` says it in words: "may not …"."""

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
ALL: Final = (SUBMIT, SEND_BACK, PUBLISH, WITHDRAW)

_FIRST: Final = {
    State.DRAFT: _("Submit it for review first."),
    State.IN_REVIEW: _("Publish it or return it to its writer."),
    State.PUBLISHED: _("Open the next draft to change it, or withdraw it."),
    State.WITHDRAWN: _("Open the next draft to bring it back."),
}


def legal(version: GuideVersion) -> tuple[Transition, ...]:
    """Moves that lead away from where a version stands."""
    return tuple(transition for transition in ALL if transition.source == version.state)


def state_refusals(version: GuideVersion, transition: Transition) -> list[Refusal]:
    """Why a version cannot make a move from where it stands; empty if it can."""
    if version.state == transition.source:
        return []
    return [
        Refusal(
            format_lazy(
                _("This version is {state}; only one that is {source} can become {target}. {first}"),
                state=version.get_state_display(),
                source=transition.source.label,
                target=transition.target.label,
                first=_FIRST[State(version.state)],
            ),
            field="state",
        )
    ]
