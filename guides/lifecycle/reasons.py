"""Acts that need a reason get one."""

from __future__ import annotations

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from .errors import Refusal


def refusals(reason: str, field: str, longest: int) -> list[Refusal]:
    """Why a reason will not do; empty if it will."""
    length = len(reason.strip())
    if not length:
        return [Refusal(_("Reason: say why; it is kept, and people who look later will read it."), field=field)]
    if length > longest:
        return [
            Refusal(
                format_lazy(_("Reason: {length} characters; write {longest} at most."), length=length, longest=longest),
                field=field,
            )
        ]
    return []
