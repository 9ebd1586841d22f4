"""Ties guides to lots: follow the newest revision, stay on one, or hold it back for this lot."""

from __future__ import annotations

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import FROZEN_STATES, Follow, Verb
from guides.models import Assignment, Guide, GuideVersion, Lot, User

from . import audit, reasons, roles
from .errors import Refusal, refuse_if

_PERMISSIONS = ["guides.change_assignment"]


def assign(lot: Lot, guide: Guide, *, by: User, pinned: GuideVersion | None = None) -> Assignment:
    """Show a guide on a lot's page: the newest revision, or always ``pinned``.

    Raises:
        Refused: not allowed, a guide of another coffee, a recalled lot, or a version that cannot be pinned.
    """
    refuse_if(
        [
            *roles.refusals(by, _PERMISSIONS, _("choose the guides of a lot")),
            *_fit_refusals(lot, guide),
            *_pin_refusals(guide, pinned),
        ]
    )
    with transaction.atomic():
        assignment, _made = Assignment.objects.update_or_create(
            lot=lot,
            guide=guide,
            defaults={"follow": Follow.PINNED if pinned else Follow.NEWEST, "pinned": pinned, "held_reason": ""},
        )
        audit.record(Verb.ASSIGNED, by=by, lot=lot, guide=guide, pinned=pinned.revision if pinned else None)
    return assignment


def hold(assignment: Assignment, *, by: User, reason: str) -> Assignment:
    """Keep a guide off a lot's page until somebody releases it.

    Raises:
        Refused: not allowed, or no reason.
    """
    refuse_if(
        [
            *roles.refusals(by, _PERMISSIONS, _("hold a guide for a lot")),
            *reasons.refusals(reason, "held_reason", 200),
        ]
    )
    with transaction.atomic():
        assignment.follow, assignment.pinned, assignment.held_reason = Follow.HELD, None, reason.strip()
        assignment.save(update_fields=["follow", "pinned", "held_reason"])
        audit.record(Verb.HELD, by=by, lot=assignment.lot, guide=assignment.guide, reason=assignment.held_reason)
    return assignment


def release(assignment: Assignment, *, by: User) -> Assignment:
    """Show a held guide again, following its newest revision.

    Raises:
        Refused: not allowed, or not held.
    """
    refusals = roles.refusals(by, _PERMISSIONS, _("release a held guide"))
    if assignment.follow != Follow.HELD:
        refusals.append(Refusal(_("This guide is not held for this lot; there is nothing to release."), "follow"))
    refuse_if([*refusals, *_fit_refusals(assignment.lot, assignment.guide)])
    return assign(assignment.lot, assignment.guide, by=by)


def _fit_refusals(lot: Lot, guide: Guide) -> list[Refusal]:
    found = []
    if lot.coffee_id != guide.coffee_id:
        found.append(
            Refusal(
                format_lazy(
                    _("Guide: it is for {theirs}, and lot {lot} holds {ours}. Choose a guide of {ours}."),
                    theirs=guide.coffee.name,
                    lot=lot.name,
                    ours=lot.coffee.name,
                ),
                field="guide",
            )
        )
    if lot.is_recalled:
        found.append(
            Refusal(_("Lot: it is recalled, and its codes show the notice. No guide can be given to it."), "lot")
        )
    return found


def _pin_refusals(guide: Guide, pinned: GuideVersion | None) -> list[Refusal]:
    if pinned is None or (pinned.guide_id == guide.pk and pinned.state in FROZEN_STATES):
        return []
    return [Refusal(_("Pinned version: choose a published revision of this guide."), field="pinned")]
