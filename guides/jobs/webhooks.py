"""Tells webhooks what has happened, signed as Standard Webhooks 1.0.0 has it (www.standardwebhooks.com).

The id of a delivery is that of its job and stays the same however often it is tried, so that whoever takes it can leave
out what came twice. The time of the attempt is signed with it, so that an old one sent again by somebody else is told
from a new one.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
import hmac
import json
from dataclasses import asdict
from typing import Any, Final

from django.utils import timezone

from guides.models import Event, Webhook
from guides.models.webhook import SECRET_PREFIX
from guides.presenters.shop import entries, shapes
from guides.queries import house, shop

from . import outgoing
from .runs import Held

KIND: Final = "send_webhook"
TRIAL: Final = "try_webhook"
LOOKED_BACK: Final = datetime.timedelta(days=1)
"""How far back something may have happened that nobody was told of because a process died."""


def due() -> list[tuple[Webhook, Event]]:
    """Give everything that webhooks are to be told of, told already or not."""
    now = timezone.now()
    found = []
    for webhook in Webhook.objects.filter(ended_at__isnull=True):
        since = max(webhook.created_at, now - LOOKED_BACK)
        verbs = [verb for verb, name in entries.CHANGES.items() if name in webhook.about]
        found += [(webhook, event) for event in shop.changes().filter(verb__in=verbs, at__gte=since)]
    return found


def send(held: Held) -> dict[str, Any]:
    """Tell one webhook of one change.

    Raises:
        outgoing.NotSent: it did not arrive; it is tried again.
    """
    webhook = _active(held)
    event = shop.changes().filter(pk=held.arguments["event_id"]).first()
    if webhook is None or event is None:
        return {"sent": False}
    return {"sent": True, "status": _post(webhook, held, body_of(event))}


def try_out(held: Held) -> dict[str, Any]:
    """Send one webhook a test, once: a person waits to see what comes of it."""
    webhook = _active(held)
    if webhook is None:
        return {"sent": False}
    try:
        return {"sent": True, "status": _post(webhook, held, body_of_trial(webhook))}
    except outgoing.NotSent as error:
        return {"sent": False, "why": str(error)}


def _active(held: Held) -> Webhook | None:
    return Webhook.objects.filter(pk=held.arguments["webhook_id"], ended_at__isnull=True).first()


def _post(webhook: Webhook, held: Held, body: bytes) -> int:
    return outgoing.post(webhook.url, body, signed(webhook.secret, str(held.run_id), timezone.now(), body))


def body_of(event: Event) -> bytes:
    """Write a change down: the same as an item of the list of changes."""
    roastery = house.current()
    reader = entries.Reader(roastery, roastery.main_language, timezone.localdate())
    return _written(entries.change(event, shop.revisions([event]), reader))


def body_of_trial(webhook: Webhook) -> bytes:
    """Write a test down: in the form of a change, about nothing."""
    return _written(entries.trial(webhook, timezone.now()))


def _written(change: shapes.ChangeShape) -> bytes:
    told = {**asdict(change), "at": change.at.isoformat()}
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()


def signed(secret: str, delivery: str, at: datetime.datetime, body: bytes) -> dict[str, str]:
    """Give the headers of a delivery.

    Args:
        secret: of the webhook, with its prefix.
        delivery: its id.
        at: when it is sent.
        body: what is sent.

    Returns:
        Id, time in seconds, and HMAC-SHA256 over the two and the body, in base64.
    """
    seconds = str(int(at.timestamp()))
    key = base64.b64decode(secret.removeprefix(SECRET_PREFIX))
    digest = hmac.new(key, b".".join((delivery.encode(), seconds.encode(), body)), hashlib.sha256).digest()
    return {
        "Content-Type": "application/json",
        "webhook-id": delivery,
        "webhook-timestamp": seconds,
        "webhook-signature": f"v1,{base64.b64encode(digest).decode()}",
    }
