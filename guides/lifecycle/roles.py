"""Who may do what: five groups, installed after every migration."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from django.contrib.auth.models import Group, Permission
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides import models
from guides.models import User
from guides.models.base import Passing

from .errors import Refusal
from .transitions import Transition

_WRITES: Final = ("add", "change", "delete", "view")
# Passing rows are the site's own; nobody is given them.
_MODELS: Final = frozenset(
    name.lower() for name in models.__all__ if not issubclass(getattr(models, name), Passing)
) - {"user", "apitoken", "webhook"}
_VIEWED: Final = frozenset(f"view_{model}" for model in _MODELS)
# These come from acts and counting; who the roastery is stays with the publisher.
_NOT_WRITTEN: Final = {
    "address",
    "cupnote",
    "dispatch",
    "event",
    "guideopens",
    "homebrew",
    "jobrun",
    "lotcheck",
    "packingrun",
    "question",
    "reviewcomment",
    "signoff",
    "taster",
    "tastingcup",
    "versioneditor",
}
_WRITTEN: Final = _MODELS - _NOT_WRITTEN - {"roastery"}

_READER: Final = _VIEWED
_LOOKS: Final = frozenset({"view_coffee", "view_lot", "view_guide", "view_guideversion"})
# Whoever keeps the shop says where it is told things; tokens come from the publisher.
_SHOP: Final = _LOOKS | {"view_apitoken", "view_webhook", "manage_webhook"}
_PACKER: Final = (
    _LOOKS
    | {"view_address", "view_packingrun", "view_printformat", "view_labelstock", "print_lot"}
    | {"view_lotcheck", "view_dispatch"}
)
_ROASTER: Final = (
    _VIEWED
    | {f"{act}_{model}" for model in _WRITTEN for act in _WRITES}
    | {"delete_homebrew", "submit_guideversion", "print_lot", "answer_question", "sign_off_trainee"}
)
_PUBLISHER: Final = (
    _ROASTER
    | {"publish_guideversion", "withdraw_guideversion", "recall_lot", "merge_coffee", "change_roastery"}
    | {"view_apitoken", "manage_apitoken", "view_webhook", "manage_webhook"}
)

GROUPS: Final[dict[str, frozenset[str]]] = {
    "roaster": frozenset(_ROASTER),
    "publisher": frozenset(_PUBLISHER),
    "packer": _PACKER,
    "shop": _SHOP,
    "reader": _READER,
}
"""Permission code names of each group. A publisher may do all that a roaster may."""


def install(using: str) -> None:
    """Make the groups and give them exactly these permissions. Groups of the site's own are left alone."""
    granted = Permission.objects.using(using).filter(content_type__app_label="guides")
    by_name = {permission.codename: permission for permission in granted}
    for name, codenames in GROUPS.items():
        group, _made = Group.objects.using(using).get_or_create(name=name)
        group.permissions.set(by_name[codename] for codename in sorted(codenames) if codename in by_name)


def may(user: User, transition: Transition) -> bool:
    """Say whether a member of staff may make a move."""
    return any(user.has_perm(permission) for permission in transition.permissions)


def refusals(user: User, permissions: Iterable[str], act: Any) -> list[Refusal]:
    """Why somebody may not do something; ``act`` ends the sentence "You may not …". Empty if they may."""
    if any(user.has_perm(permission) for permission in permissions):
        return []
    return [
        Refusal(
            format_lazy(
                _("{name} may not {act}: their groups do not allow it. Ask somebody who may."),
                name=user.display_name,
                act=act,
            )
        )
    ]
