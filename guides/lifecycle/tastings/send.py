"""Takes a taster's notes and choice, once, and only before the reveal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import TastingKind
from guides.models import CupNote, Taster, Tasting
from guides.models.cup_note import LONGEST_NOTE

from .. import form_token
from ..errors import Refusal, refuse_if
from ..form_token import FormToken

CANNOT_SAY: Final = "none"


def send(taster: Taster, *, token: FormToken, notes: Mapping[str, str], choice: str) -> Taster:
    """Keep what somebody tasted.

    Args:
        taster: whose notes.
        token: of the form.
        notes: by code of the cup; empty ones are left out.
        choice: a code of their cups, or ``CANNOT_SAY`` where a preference is asked.

    Raises:
        Refused: after the reveal, a second time, no choice, or a note that is too long.
        TokenRefused: the form was sent already.
    """
    written = {code: text.strip() for code, text in notes.items() if code in taster.order and text.strip()}
    with transaction.atomic():
        # The reveal waits for this row, and this for the reveal.
        tasting = Tasting.objects.select_for_update().get(pk=taster.tasting_id)
        locked = Taster.objects.select_for_update().get(pk=taster.pk)
        refuse_if(_refusals(tasting, locked, written, choice))
        form_token.spend(token)
        cups = {cup.code: cup for cup in tasting.cups.all()}
        locked.sent_at, locked.choice = timezone.now(), cups.get(choice)
        locked.save(update_fields=["sent_at", "choice"])
        CupNote.objects.bulk_create(CupNote(taster=locked, cup=cups[code], text=text) for code, text in written.items())
    return locked


def _refusals(tasting: Tasting, taster: Taster, notes: Mapping[str, str], choice: str) -> list[Refusal]:
    if tasting.is_revealed:
        return [Refusal(_("Too late: the cups have been revealed. Notes count only from before."))]
    if taster.sent_at is not None:
        return [Refusal(_("Your notes are in already. They count once, and stay until the reveal."))]
    found = [
        Refusal(
            format_lazy(_("Cup {code}: {n} characters at the most."), code=code, n=LONGEST_NOTE), field=f"note-{code}"
        )
        for code, text in notes.items()
        if len(text) > LONGEST_NOTE
    ]
    if tasting.kind == TastingKind.TRIANGLE and choice not in taster.order:
        found.append(Refusal(_("Choose the cup that is not like the others; guess if you cannot tell."), "choice"))
    elif choice not in (*taster.order, CANNOT_SAY):
        found.append(Refusal(_("Choose the cup you like best, or that you cannot say."), "choice"))
    return found
