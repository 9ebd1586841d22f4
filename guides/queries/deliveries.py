"""What was sent to a webhook, and whether it arrived."""

from __future__ import annotations

from django.db.models import QuerySet

from guides.models import JobRun, Webhook

LATEST = 10


def latest(webhook: Webhook) -> QuerySet[JobRun]:
    """Give the last deliveries to a webhook, newest first."""
    sent = JobRun.objects.filter(kind__in=("send_webhook", "try_webhook"), arguments__webhook_id=webhook.pk)
    return sent.order_by("-created_at")[:LATEST]
