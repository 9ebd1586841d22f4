"""Alive and ready, whatever host name the check uses; not ready, with what to do, when something is missing."""

from __future__ import annotations

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client
from pytest_django import Settings

from guides.models import Roastery, triggers

STRANGE_HOST = {"HTTP_HOST": "172.17.0.3:8000"}


@pytest.mark.parametrize("path", ["/health/live", "/health/ready"])
@pytest.mark.django_db
def test_answers_to_any_host_without_redirect(settings: Settings, client: Client, path: str) -> None:
    settings.SECURE_SSL_REDIRECT = True
    response = client.get(path, headers=None, **STRANGE_HOST)  # type: ignore[arg-type]
    assert response.status_code == 200, response.content
    assert response.headers["Cache-Control"] == "no-store"


def test_other_pages_refuse_a_strange_host(client: Client) -> None:
    assert client.get("/admin/login/", **STRANGE_HOST).status_code == 400  # type: ignore[arg-type]


def test_live_needs_no_database(client: Client) -> None:
    assert client.get("/health/live").status_code == 200


@pytest.mark.django_db
def test_unapplied_migration_is_not_ready(client: Client) -> None:
    MigrationRecorder(connection).record_unapplied("guides", "0001_initial")
    response = client.get("/health/ready")
    assert response.status_code == 503
    assert "manage.py migrate" in response.json()["migrations"]


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_missing_guard_is_not_ready(client: Client) -> None:
    name, table = triggers.installed(connection)[0]
    with connection.cursor() as cursor:
        cursor.execute(f'DROP TRIGGER "{name}"' + (f' ON "{table}"' if connection.vendor == "postgresql" else ""))
    try:
        response = client.get("/health/ready")
    finally:
        triggers.install(connection)
    assert response.status_code == 503
    assert response.json()["guards"].startswith("1 missing")
    assert client.get("/health/ready").status_code == 200


@pytest.mark.django_db
def test_demo_is_not_served_as_a_real_site(settings: Settings, client: Client) -> None:
    Roastery.objects.create(name="Mossgull Roasting Room", is_demo=True)
    assert "remove_demo" in client.get("/health/ready").json()["data"]
    assert client.get("/health/ready").status_code == 503
    settings.DEMO = True
    assert client.get("/health/ready").status_code == 200


def test_unreachable_database_is_said_without_its_details(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def unreachable() -> str:
        raise OperationalError('connection to "db" failed: password c4nary')

    monkeypatch.setattr("roastery.health._migrations", unreachable)
    response = client.get("/health/ready")
    assert response.status_code == 503
    assert response.json() == {"database": "cannot be reached; see the log"}
