"""Whether the database is guarded, the printed address reaches customers, and paper can be made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Info, Tags, Warning, register
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from guides.documents import engine_needs
from guides.models import GuideVersion, Roastery, stamp_triggers, triggers

_HERE = {"localhost", "127.0.0.1", "::1"}


@register(Tags.database)
def guards_in_place(databases: Sequence[str] | None = None, **_kwargs: Any) -> list[CheckMessage]:
    """E001: the triggers that keep published guides as printed."""
    found: list[CheckMessage] = []
    for connection in migrated(databases):
        if missing := triggers.missing(connection):
            expected = triggers.expected_names(connection.vendor)
            found.append(
                Error(
                    f"{len(missing)} of {len(expected)} guards of published guides are missing from the database "
                    f"“{connection.alias}”, the first being {min(missing)}. What is printed on bags could be changed.",
                    hint="Type: python3 manage.py migrate --skip-checks",
                    id="guides.E001",
                )
            )
    return found


@register(Tags.database)
def changes_marked(databases: Sequence[str] | None = None, **_kwargs: Any) -> list[CheckMessage]:
    """E008: the triggers by which kept pages learn that something has changed."""
    found: list[CheckMessage] = []
    for connection in migrated(databases):
        if missing := stamp_triggers.missing(connection):
            expected = stamp_triggers.expected_names(connection.vendor)
            found.append(
                Error(
                    f"{len(missing)} of {len(expected)} marks of changes are missing from the database "
                    f"“{connection.alias}”, the first being {min(missing)}. Customers' pages could stay as they were.",
                    hint="Type: python3 manage.py migrate --skip-checks",
                    id="guides.E008",
                )
            )
    return found


@register(Tags.database)
def demo_kept_apart(databases: Sequence[str] | None = None, **_kwargs: Any) -> list[CheckMessage]:
    """E002: the demo's rows, with log-ins that everybody knows, on a site that is not a demo."""
    if settings.DEMO:
        return []
    return [
        Error(
            f"The database “{connection.alias}” holds the demo, whose log-ins everybody knows.",
            hint="Type: python3 manage.py remove_demo, or start the site with an empty database.",
            id="guides.E002",
        )
        for connection in migrated(databases)
        if Roastery.objects.using(connection.alias).filter(is_demo=True).exists()
    ]


@register()
def printed_address(**_kwargs: Any) -> list[CheckMessage]:
    """E003, W004: the address that goes on every insert."""
    if settings.DEMO or settings.DEBUG:
        return []
    parts = urlsplit(settings.PUBLIC_BASE_URL)
    if parts.hostname in _HERE:
        return [
            Error(
                f"PUBLIC_BASE_URL is {settings.PUBLIC_BASE_URL}, which only this machine can reach. "
                "It is printed on every insert, and no customer would get there.",
                hint="Write the address customers use, such as https://guides.example, into PUBLIC_BASE_URL.",
                id="guides.E003",
            )
        ]
    if parts.scheme != "https":
        return [
            Warning(
                f"PUBLIC_BASE_URL is {settings.PUBLIC_BASE_URL}. Phones warn of addresses without https, and an "
                "address that is printed cannot be changed.",
                hint="Serve the site over https before the first insert is printed, and write https:// there.",
                id="guides.W004",
            )
        ]
    return []


@register()
def hosts_named(**_kwargs: Any) -> list[CheckMessage]:
    """E005: a site that answers to any name can be made to print somebody else's."""
    if "*" not in settings.ALLOWED_HOSTS:
        return []
    return [
        Error(
            "ALLOWED_HOSTS holds a '*', so the site answers to any name.",
            hint="Name the hosts in PUBLIC_BASE_URL and EXTRA_HOSTS.",
            id="guides.E005",
        )
    ]


@register()
def inserts_printable(**_kwargs: Any) -> list[CheckMessage]:
    """W007: the system libraries that PDFs are made with."""
    missing = engine_needs.missing_packages()
    if not missing:
        return []
    return [
        Warning(
            f"No insert can be printed: this machine lacks {', '.join(missing)}.",
            hint=f"Type: {engine_needs.install_line()}",
            id="guides.W007",
        )
    ]


@register(Tags.database)
def journal_chosen(databases: Sequence[str] | None = None, **_kwargs: Any) -> list[CheckMessage]:
    """I006: which journal SQLite keeps, and why."""
    found: list[CheckMessage] = []
    for connection in migrated(databases):
        if connection.vendor == "sqlite":
            mode = _journal_mode(connection)
            found.append(
                Info(
                    f"SQLite {'.'.join(map(str, connection.Database.sqlite_version_info))} keeps its {mode} journal. "  # type: ignore[attr-defined]
                    + (
                        "Readers and the one writer work side by side."
                        if mode == "wal"
                        else "Its write-ahead log may lose a commit in this version, so the rollback journal is used: "
                        "safe, and one writer at a time shuts readers out for a moment."
                    ),
                    hint="For many people at once, PostgreSQL is the better choice.",
                    id="guides.I006",
                )
            )
    return found


def migrated(databases: Iterable[str] | None) -> Iterable[BaseDatabaseWrapper]:
    """Databases asked for that have our tables; before the first migration there is nothing to check."""
    for alias in databases or ():
        connection = connections[alias]
        if GuideVersion._meta.db_table in connection.introspection.table_names():
            yield connection


def _journal_mode(connection: BaseDatabaseWrapper) -> str:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA journal_mode")
        return str(cursor.fetchone()[0])
