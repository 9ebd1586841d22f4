"""Whether the site is alive and ready, for whatever watches it.

Answered before anything that looks at the host name or redirects to HTTPS: a health check comes from inside, by number.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import cache

from django.conf import settings
from django.db import Error, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import override

from guides.models import Roastery, triggers
from guides.presenters.site_condition import Level, findings
from guides.queries import condition

log = logging.getLogger(__name__)


class HealthMiddleware:
    """Answer ``/health/live`` (this process runs), ``/health/ready`` (it can serve) and ``/health/upkeep`` (backups,
    worker, disk and the rest need nobody)."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info == "/health/live":
            return _answer({"process": "runs"}, healthy=True)
        if request.path_info == "/health/ready":
            needs = ready()
            return _answer(needs, healthy=set(needs.values()) == {"ok"})
        if request.path_info == "/health/upkeep":
            wrong = upkeep()
            return _answer(wrong or {"upkeep": "ok"}, healthy=not wrong)
        return self.get_response(request)


def ready() -> dict[str, str]:
    """Return each thing that serving needs with ``ok`` or what to do about it."""
    needs: dict[str, str] = {"database": "ok"}
    try:
        needs["migrations"] = _migrations()
        if needs["migrations"] == "ok":
            needs["guards"] = _guards()
            needs["data"] = _data()
    except Error:
        log.exception("The database cannot be reached.")
        needs["database"] = "cannot be reached; see the log"
    return needs


def upkeep() -> dict[str, str]:
    """Return what is wrong with the site and what to do; the figures are for the desk alone."""
    try:
        with override("en"):
            lines = findings(condition.now(), "en")
    except Error:
        log.exception("The database cannot be reached.")
        return {"database": "cannot be reached; see the log"}
    return {line.key: line.advice for line in lines if line.level is Level.WRONG}


def _migrations() -> str:
    missing = _on_disk() - set(MigrationRecorder(connection).applied_migrations())
    return f"{len(missing)} not applied; run manage.py migrate" if missing else "ok"


@cache
def _on_disk() -> frozenset[tuple[str, str]]:
    loader = MigrationLoader(None)
    return frozenset((str(app), str(name)) for app, name in loader.graph.nodes)


def _guards() -> str:
    missing = triggers.missing(connection)
    return f"{len(missing)} missing; run manage.py migrate" if missing else "ok"


def _data() -> str:
    """Never serve the demo, whose log-ins everybody knows, as a real site."""
    if not settings.DEMO and Roastery.objects.filter(is_demo=True).exists():
        return "the demo is in this database; run manage.py remove_demo"
    return "ok"


def _answer(told: dict[str, str], *, healthy: bool) -> HttpResponse:
    response = JsonResponse(told, status=200 if healthy else 503)
    response.headers["Cache-Control"] = "no-store"
    # The middleware that sets these stands behind.
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return response
