"""Opens a blind tasting: cups get their codes, tasters a number to join by."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Sequence
from random import SystemRandom
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import TastingKind, Verb
from guides.models import Lot, Tasting, TastingCup, TrialBrew, User

from .. import audit, roles
from ..errors import Refusal, refuse_if

FEWEST_CUPS: Final = 2
MOST_CUPS: Final = 4
_CODES_OF_EACH: Final = {TastingKind.PREFERENCE: 1, TastingKind.TRIANGLE: 2}
_SHUFFLED: Final = SystemRandom()

Thing = TrialBrew | Lot
"""What may be in a cup."""


def open_tasting(
    kind: str, title: str, things: Sequence[Thing], *, by: User, at: datetime.datetime | None = None
) -> Tasting:
    """Open a tasting and give every cup a three-digit code.

    Args:
        kind: of ``TastingKind``.
        title: what is compared, for the desk.
        things: brews or lots, two to four; two for a triangle test.
        by: who opens it.
        at: when; now if not given.

    Raises:
        Refused: not allowed, no title, too few or too many, twice the same, or something recalled.
    """
    kind = TastingKind(kind)
    refuse_if([*roles.refusals(by, ["guides.add_tasting"], _("open tastings")), *refusals(kind, title, things)])
    each = _CODES_OF_EACH[kind]
    codes = _SHUFFLED.sample(range(100, 1000), each * len(things))
    with transaction.atomic():
        tasting = Tasting.objects.create(
            number=_number(), kind=kind, title=title.strip(), opened_by=by, opened_at=at or timezone.now()
        )
        TastingCup.objects.bulk_create(
            TastingCup(tasting=tasting, sample=place // each + 1, code=str(code), **_of(things[place // each]))
            for place, code in enumerate(codes)
        )
        audit.record(Verb.OPENED_TASTING, by=by, at=at, tasting=tasting.pk, title=tasting.title)
    return tasting


def recalled(things: Sequence[Thing]) -> list[str]:
    """Give the lots among them, or behind them, that nobody should drink."""
    lots = [thing.lot if isinstance(thing, TrialBrew) else thing for thing in things]
    return sorted({lot.name for lot in lots if lot.is_recalled})


def refusals(kind: TastingKind, title: str, things: Sequence[Thing]) -> list[Refusal]:
    """Say why these cannot be tasted together; empty if they can."""
    found = []
    if not title.strip():
        found.append(Refusal(_("What is compared: say it in a few words; only the desk reads it."), "title"))
    most = FEWEST_CUPS if kind is TastingKind.TRIANGLE else MOST_CUPS
    if not FEWEST_CUPS <= len(things) <= most:
        text = _("A triangle test compares two, and {n} are chosen.")
        if kind is not TastingKind.TRIANGLE:
            text = _("Two to four cups are compared, and {n} are chosen: more tire the tongue.")
        found.append(Refusal(format_lazy(text, n=len(things)), "cups"))
    if len(set(things)) < len(things):
        found.append(Refusal(_("The same is chosen twice; for a triangle test its cups are doubled anyway."), "cups"))
    if names := recalled(things):
        text = _("Recalled, so nobody drinks it: {lots}. Take it off the table.")
        found.append(Refusal(format_lazy(text, lots=", ".join(names)), "cups"))
    return found


def _number() -> str:
    """A number that is typed and not guessed: six digits, used once, and tries are counted."""
    while True:
        number = str(secrets.randbelow(900_000) + 100_000)
        if not Tasting.objects.filter(number=number).exists():
            return number


def _of(thing: Thing) -> dict[str, Any]:
    return {"trial_brew": thing} if isinstance(thing, TrialBrew) else {"lot": thing}
