"""Orders further copies of a run for those that were spoiled."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.errors import Refusal, Refused
from guides.models import PackingRun, User

from .order import order
from .transitions import RELEASED


def reprint(run: PackingRun, copies: int, *, by: User) -> PackingRun:
    """Order further copies: same lot, revision, language and format, with a mark of their own.

    Raises:
        Refused: not allowed, a run that was never released, or as for ``order``.
    """
    first = run.reprint_of or run
    if first.state not in RELEASED:
        raise Refused(Refusal(_("State: only a run that was released can be printed again."), "state"))
    with transaction.atomic():
        PackingRun.objects.select_for_update().get(pk=first.pk)
        last = PackingRun.objects.filter(reprint_of=first).aggregate(last=Max("reprint"))["last"] or 0
        again = PackingRun(
            lot=first.lot,
            version=first.version,
            language=first.language,
            paper=first.paper,
            sheet=first.sheet,
            flip=first.flip,
            copies=copies,
            reprint_of=first,
            reprint=last + 1,
        )
        return order(again, by=by)
