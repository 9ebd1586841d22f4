"""Takes a brew that a customer chose to send. Nobody but staff sees it, and nothing in it says who sent it."""

from __future__ import annotations

import datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.models import GuideVersion, HomeBrew, Lot
from guides.models.home_brew import LONGEST

from . import form_token
from .errors import Refusal, refuse_if
from .form_token import FormToken
from .snapshot import Snapshot

_MOST_DRAINED_S = 7200
KEPT_DAYS = 365
"""A brew that was sent is deleted after so long; the form says so."""


def take(
    version: GuideVersion,
    brewed: Snapshot,
    *,
    token: FormToken,
    language: str,
    text: str,
    drained: str = "",
    grinder: str = "",
    lot: Lot | None = None,
) -> HomeBrew:
    """Keep a brew as it was sent, and spend its token with it: both stay, or neither.

    Args:
        version: the guide it was brewed from.
        brewed: that guide as data, made the reader's own.
        token: of the form.
        language: of the text.
        text: up to 2000 characters.
        drained: clock seconds, empty where they were not tapped.
        grinder: the roastery's one it was adapted to, by its address word; ``own`` for theirs, empty for none.
        lot: the bag, if any.

    Raises:
        Refused: no text, too long a text, or a time that no brew takes.
        TokenRefused: the form was sent already.
    """
    text = text.replace("\r\n", "\n").strip()
    refusals = []
    if not text:
        refusals.append(Refusal(_("There is no brew to send: brew first, then send it from the same phone."), "text"))
    if len(text) > LONGEST:
        refusals.append(Refusal(_("That is longer than a brew: 2000 characters at the most."), "text"))
    seconds = int(drained) if drained.isdecimal() and len(drained) < 6 else None
    if drained and (seconds is None or seconds > _MOST_DRAINED_S):
        refusals.append(Refusal(_("The drained time is not one that a brew takes."), "drained"))
    refuse_if(refusals)
    window = brewed.assessment.drained
    with transaction.atomic():
        form_token.spend(token)
        return HomeBrew.objects.create(
            version=version,
            lot=lot,
            language=language,
            dose_g=Decimal(str(round(brewed.plan.dose_g, 1))),
            grind_um=round(brewed.plan.grind_um),
            brewer=brewed.brewer.name[:120],
            grinder=grinder[:60],
            drained_s=seconds,
            window_low_s=round(window.low) if window else None,
            window_high_s=round(window.high) if window else None,
            text=text,
        )


def sweep() -> int:
    """Delete brews that have been kept for as long as the form said; give how many."""
    kept_since = timezone.now() - datetime.timedelta(days=KEPT_DAYS)
    return HomeBrew.objects.filter(sent_at__lt=kept_since).delete()[0]
