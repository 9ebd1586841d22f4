"""Tells the rest of the app what happened, once it is sure to stay."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Model
from django.dispatch import Signal


def after_commit(signal: Signal, sender: type[Model], **ids: int) -> None:
    """Send a signal when the transaction is kept; a receiver that fails is logged and takes nothing back."""

    def tell() -> None:
        signal.send(sender, **ids)

    transaction.on_commit(tell, robust=True)
