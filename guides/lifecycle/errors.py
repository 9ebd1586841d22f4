"""Why an act was refused, fit for the person who tried: what is wrong, why, and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _


@dataclass(frozen=True)
class Refusal:
    """One reason. ``field`` is the column it is about, ``step`` the index of the step, both ``None`` for the whole."""

    message: str | Promise
    field: str | None = None
    step: int | None = None

    def __str__(self) -> str:
        if self.step is None:
            return str(self.message)
        return _("Step %(number)s: %(message)s") % {"number": self.step + 1, "message": self.message}


class Refused(Exception):
    """An act did not happen; nothing was changed."""

    def __init__(self, *refusals: Refusal) -> None:
        self.refusals = refusals
        super().__init__(*refusals)

    def __str__(self) -> str:
        return " ".join(str(refusal) for refusal in self.refusals)


def refuse_if(refusals: Iterable[Refusal]) -> None:
    """Stop the act if there is any reason to.

    Raises:
        Refused: carries every reason at once, so that they can be put right together.
    """
    found = tuple(refusals)
    if found:
        raise Refused(*found)
