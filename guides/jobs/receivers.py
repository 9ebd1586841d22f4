"""Turns what the app tells itself into background work."""

from __future__ import annotations

from typing import Any

from guides.signals import lot_recalled, packing_run_ordered, version_published, version_withdrawn, webhook_tried

from . import orders, tasks, webhooks


def connect() -> None:
    """Listen; called once, when the app is ready."""
    version_published.connect(_make_inserts, dispatch_uid="guides.jobs.inserts_of_version")
    for signal in (version_published, version_withdrawn, lot_recalled):
        signal.connect(tell_webhooks, dispatch_uid="guides.jobs.webhooks")
    webhook_tried.connect(_try_webhook, dispatch_uid="guides.jobs.webhook_tried")
    packing_run_ordered.connect(_make_run, dispatch_uid="guides.jobs.packing_run")


def _make_inserts(version_id: int, **_kwargs: Any) -> None:
    tasks.start("inserts_of_version", version_id=version_id)


def tell_webhooks(**_kwargs: Any) -> None:
    """Ask for every delivery that has not been asked for yet; each is asked for once, however often this is called."""
    for webhook, event in webhooks.due():
        tasks.start_once(webhooks.KIND, webhook_id=webhook.pk, event_id=event.pk)


def _try_webhook(webhook_id: int, **_kwargs: Any) -> None:
    tasks.start(webhooks.TRIAL, webhook_id=webhook_id)


def _make_run(run_id: int, **_kwargs: Any) -> None:
    orders.start(run_id)
