"""Tells what was in the cups. From then on nothing more is taken."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Tasting, User

from .. import audit, roles
from ..errors import Refusal, refuse_if


def reveal(tasting: Tasting, *, by: User, at: datetime.datetime | None = None) -> Tasting:
    """Reveal a tasting.

    Args:
        tasting: whose cups.
        by: who reveals it.
        at: when; now if not given.

    Raises:
        Refused: not allowed, revealed already, or nobody has sent notes.
    """
    refusals = roles.refusals(by, ["guides.change_tasting"], _("reveal tastings"))
    with transaction.atomic():
        locked = Tasting.objects.select_for_update().get(pk=tasting.pk)
        if locked.is_revealed:
            refusals.append(Refusal(_("It is revealed already.")))
        elif not locked.tasters.filter(sent_at__isnull=False).exists():
            refusals.append(Refusal(_("Nobody has sent notes yet, so there is nothing to compare.")))
        refuse_if(refusals)
        locked.revealed_at, locked.revealed_by = at or timezone.now(), by
        locked.save(update_fields=["revealed_at", "revealed_by"])
        audit.record(Verb.REVEALED, by=by, at=at, tasting=locked.pk, title=locked.title)
    return locked
