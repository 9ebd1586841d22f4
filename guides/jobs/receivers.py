"""Turns what the app tells itself into background work."""

from __future__ import annotations

from typing import Any

from guides.signals import version_published

from . import tasks


def connect() -> None:
    """Listen; called once, when the app is ready."""
    version_published.connect(_make_inserts, dispatch_uid="guides.jobs.inserts_of_version")


def _make_inserts(version_id: int, **_kwargs: Any) -> None:
    tasks.start("inserts_of_version", version_id=version_id)
