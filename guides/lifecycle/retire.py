"""Retires a guide: every published revision is withdrawn, and its lots go over to another guide where one is named."""

from __future__ import annotations

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Follow, State
from guides.models import Assignment, Guide, GuideVersion, User
from guides.queries import versions

from . import reasons, roles
from .assign import assign
from .errors import Refusal, refuse_if
from .transitions import WITHDRAW
from .withdraw import withdraw


def retire(guide: Guide, *, by: User, reason: str, replacement: Guide | None = None) -> Guide:
    """Withdraw every published revision of a guide; two guides become one where a replacement is named.

    Codes and inserts keep working. A lot that showed the guide shows the replacement from now on; one that is recalled,
    or for which the guide is held, stays as it is.

    Args:
        guide: the guide.
        by: who retires it.
        reason: what readers of an old insert are told; up to 200 characters.
        replacement: another guide of the same coffee, published.

    Raises:
        Refused: not allowed, nothing published, no reason, or a replacement that cannot be shown instead.
    """
    with transaction.atomic():
        Guide.objects.select_for_update().get(pk=guide.pk)
        published = list(GuideVersion.objects.filter(guide=guide, state=State.PUBLISHED).order_by("revision"))
        refuse_if(
            [
                *roles.refusals(by, WITHDRAW.permissions, _("retire guides")),
                *_published_refusals(published),
                *reasons.refusals(reason, "withdrawn_reason", 200),
                *_replacement_refusals(guide, replacement),
            ]
        )
        for version in published:
            withdraw(version, by=by, reason=reason, replacement=replacement)
        if replacement is not None:
            for row in moving(guide):
                assign(row.lot, replacement, by=by)
                row.delete()
    return guide


def moving(guide: Guide) -> list[Assignment]:
    """Give the rows of the lots that go over to a replacement."""
    rows = Assignment.objects.filter(guide=guide, lot__recalled_at__isnull=True).exclude(follow=Follow.HELD)
    return list(rows.select_related("lot__coffee").order_by("lot__name"))


def _published_refusals(published: list[GuideVersion]) -> list[Refusal]:
    return [] if published else [Refusal(_("Nothing of this guide is published; there is nothing to retire."))]


def _replacement_refusals(guide: Guide, replacement: Guide | None) -> list[Refusal]:
    if replacement is None:
        return []
    if replacement.pk == guide.pk or replacement.coffee_id != guide.coffee_id:
        text = format_lazy(_("Use instead: choose another guide of {coffee}."), coffee=guide.coffee.name)
        return [Refusal(text, "replacement")]
    if versions.current(replacement) is None:
        return [Refusal(_("Use instead: nothing of that guide is published. Publish it first."), "replacement")]
    return []
