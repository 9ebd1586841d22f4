"""Turns what the app tells itself into background work."""

from __future__ import annotations

from typing import Any

from guides.models import PackingRun
from guides.signals import packing_run_ordered, version_published

from . import tasks


def connect() -> None:
    """Listen; called once, when the app is ready."""
    version_published.connect(_make_inserts, dispatch_uid="guides.jobs.inserts_of_version")
    packing_run_ordered.connect(_make_run, dispatch_uid="guides.jobs.packing_run")


def _make_inserts(version_id: int, **_kwargs: Any) -> None:
    tasks.start("inserts_of_version", version_id=version_id)


def _make_run(run_id: int, **_kwargs: Any) -> None:
    job = tasks.start("packing_run", run_id=run_id)
    PackingRun.objects.filter(pk=run_id).update(job=job)
