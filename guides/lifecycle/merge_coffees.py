"""Makes one coffee of two, where the same one was entered twice.

Its lots and guides go over, with all that hangs on them. What is left of it is a row that nobody changes any more: it
keeps name, code, address word and GTIN from being used again, and leads everything that was printed or linked on.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.db import transaction
from django.db.models import F
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Coffee, CoffeePicture, Guide, Lot, TrialBrew, User
from guides.queries import merging

from . import audit, reasons, roles
from .errors import Refusal, refuse_if

_PERMISSIONS: Final = ["guides.merge_coffee"]


def merge(coffee: Coffee, into: Coffee, *, by: User, reason: str) -> Coffee:
    """Let a coffee become part of another, for good, and give the one that remains.

    Published revisions keep every word they were published with, the coffee's old name among them.

    Args:
        coffee: the one that goes.
        into: the one that remains.
        by: who does it.
        reason: for the trail; up to 200 characters.

    Raises:
        Refused: not allowed, no reason, not two coffees, or something of it is under way.
    """
    with transaction.atomic():
        # In one order, so that two who merge the same two wait for each other.
        both = Coffee.objects.filter(pk__in={coffee.pk, into.pk}).order_by("pk")
        rows = {row.pk: row for row in both.select_for_update(of=("self",))}
        coffee, into = rows[coffee.pk], rows[into.pk]
        refuse_if(
            [
                *roles.refusals(by, _PERMISSIONS, _("make one coffee of two")),
                *reasons.refusals(reason, "reason", 200),
                *_pair_refusals(coffee, into),
                *_open_refusals(coffee),
            ]
        )
        told = merging.moving(coffee)
        lots = list(coffee.lots.order_by("name"))
        _move(coffee, into)
        pair: dict[str, Any] = {"coffee": coffee.pk, "name": coffee.name, "into": into.pk, "into_name": into.name}
        audit.record_each(Verb.MERGED_COFFEES, dict.fromkeys(lots, pair), by=by)
        audit.record(
            Verb.MERGED_COFFEES, by=by, reason=reason.strip(), **pair, lots=list(told.lots), guides=list(told.guides)
        )
    into.refresh_from_db()
    return into


def _move(coffee: Coffee, into: Coffee) -> None:
    gtin = into.gtin or coffee.gtin
    left = "" if gtin == coffee.gtin else coffee.gtin
    # The row that is left comes first: the databases' guards let a lot go over only to what its coffee is part of.
    Coffee.objects.filter(pk=coffee.pk).update(
        merged_into=into, is_current=False, gtin=left, prints_digital_link=coffee.prints_digital_link and bool(left)
    )
    # Touched even where nothing of it changes: what shops read of its guides has.
    Coffee.objects.filter(pk=into.pk).update(gtin=gtin)
    Lot.objects.filter(coffee=coffee).update(coffee=into)
    Guide.objects.filter(coffee=coffee).update(coffee=into)
    TrialBrew.objects.filter(lot__coffee=into).update(lot=F("lot"))  # the same for what shops read of its brews
    if not CoffeePicture.objects.filter(coffee=into).exists():
        CoffeePicture.objects.filter(coffee=coffee).update(coffee=into)


def _pair_refusals(coffee: Coffee, into: Coffee) -> Iterator[Refusal]:
    if into.pk == coffee.pk:
        yield Refusal(_("Remains: choose another coffee."), "into")
    for one, field in ((coffee, None), (into, "into")):
        if one.merged_into is not None:
            text = format_lazy(
                _("{coffee} is part of {now} already. Go on with that one."), coffee=one.name, now=one.remaining.name
            )
            yield Refusal(text, field)


def _open_refusals(coffee: Coffee) -> Iterator[Refusal]:
    for tasting in merging.open_tastings(coffee):
        text = _("Cups of it stand in the blind tasting “{title}”, which is not told yet. Reveal it first.")
        yield Refusal(format_lazy(text, title=tasting.title))
    for version in merging.in_review(coffee):
        text = _("“{title}” is in review under the name it has now. Publish it or return it to its writer first.")
        yield Refusal(format_lazy(text, title=version.title))
    for run in merging.being_made(coffee):
        text = _("Paper for {lot} is being made. Wait until it is ready, or stop it.")
        yield Refusal(format_lazy(text, lot=run.lot.name))
