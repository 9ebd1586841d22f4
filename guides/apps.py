"""Wires the app together at start; the only room that knows all others."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig, apps
from django.db import connections
from django.db.models.signals import post_migrate, pre_migrate
from django.utils.translation import gettext_lazy as _


class GuidesConfig(AppConfig):
    name = "guides"
    verbose_name = _("Guides")

    def ready(self) -> None:
        from guides import checks  # noqa: F401 - registers them
        from guides.jobs import receivers

        receivers.connect()

        pre_migrate.connect(_take_guards_off, sender=self)
        post_migrate.connect(_put_guards_back, sender=self)
        # Sent by the last app, when the permissions of every model have been made.
        post_migrate.connect(_install_roles, sender=apps.get_app_config("auth"))


def _take_guards_off(using: str, plan: Any = (), **_kwargs: Any) -> None:
    # SQLite remakes tables, which needs them gone; with nothing to migrate they stay on.
    from guides.models import stamp_triggers, triggers

    if plan:
        triggers.remove(connections[using])
        stamp_triggers.remove(connections[using])


def _install_roles(using: str, **_kwargs: Any) -> None:
    from guides.lifecycle import roles

    roles.install(using)


def _put_guards_back(using: str, **_kwargs: Any) -> None:
    from guides.models import stamp_triggers, triggers

    if triggers.guarded_tables()[0] in connections[using].introspection.table_names():
        triggers.install(connections[using])
        stamp_triggers.install(connections[using])
