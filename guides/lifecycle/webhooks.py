"""Adds, tries and ends the addresses that are told of what is published, withdrawn and recalled."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Told, Verb
from guides.models import User, Webhook
from guides.signals import webhook_tried

from . import audit, outside, roles
from .errors import Refusal, refuse_if
from .telling import after_commit


def add(webhook: Webhook, *, by: User, through: str = "") -> str:
    """Keep a new address and give the secret that what is sent there is signed with.

    Args:
        webhook: its address and what it is told of.
        by: who adds it.
        through: the name of the token by which they do, if any.

    Raises:
        Refused: not allowed, an address that is not to be sent to, or nothing to tell.
    """
    webhook.url = webhook.url.strip()
    found = [
        *roles.refusals(by, ["guides.manage_webhook"], _("add webhooks")),
        *outside.refusals(webhook.url, "url"),
    ]
    if not webhook.about or not set(webhook.about) <= set(Told.values):
        found.append(Refusal(_("Told of: choose one or more from the list."), "about"))
    refuse_if(found)
    webhook.about, webhook.created_by = sorted(set(webhook.about)), by
    with transaction.atomic():
        webhook.save(force_insert=True)
        audit.record(Verb.ADDED_WEBHOOK, by=by, reason=webhook.url[:300], through=through)
    return webhook.secret


def try_out(webhook: Webhook, *, by: User) -> Webhook:
    """Have a test sent there, signed like everything else, to see whether it arrives.

    Raises:
        Refused: not allowed, or ended.
    """
    found = roles.refusals(by, ["guides.manage_webhook"], _("try webhooks"))
    if webhook.is_ended:
        found.append(Refusal(_("This webhook is ended already.")))
    refuse_if(found)
    with transaction.atomic():
        audit.record(Verb.TRIED_WEBHOOK, by=by, reason=webhook.url[:300])
        after_commit(webhook_tried, Webhook, webhook_id=webhook.pk)
    return webhook


def end(webhook: Webhook, *, by: User, through: str = "") -> Webhook:
    """Send nothing there any more; what waits to be sent is dropped.

    Raises:
        Refused: not allowed, or ended already.
    """
    found = roles.refusals(by, ["guides.manage_webhook"], _("end webhooks"))
    with transaction.atomic():
        webhook = Webhook.objects.select_for_update().get(pk=webhook.pk)
        if webhook.is_ended:
            found.append(Refusal(_("This webhook is ended already.")))
        refuse_if(found)
        webhook.ended_at, webhook.ended_by = timezone.now(), by
        webhook.save(update_fields=["ended_at", "ended_by"])
        audit.record(Verb.ENDED_WEBHOOK, by=by, reason=webhook.url[:300], through=through)
    return webhook
