"""Which tables go into a bundle. Every model of the site is named here, with why where it stays behind.

In goes what somebody at the roastery made or a customer sent, and what is printed. What a machine can make again, what
guards log-ins, and what is secret stays: a backup is for putting the same site back, a bundle for moving its work.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from django.apps import apps
from django.contrib.auth.models import Group, Permission
from django.contrib.contenttypes.models import ContentType
from django.db import models

from guides.models.base import Passing

GOES: Final = (
    "admin.LogEntry",
    "auth.Group",
    "guides.Address",
    "guides.Assignment",
    "guides.Brewer",
    "guides.Coffee",
    "guides.CoffeePicture",
    "guides.CupNote",
    "guides.Dispatch",
    "guides.Event",
    "guides.GreenLot",
    "guides.Grinder",
    "guides.GrinderPoint",
    "guides.Guide",
    "guides.GuideOpens",
    "guides.GuideVersion",
    "guides.HomeBrew",
    "guides.LabelStock",
    "guides.Lot",
    "guides.LotCheck",
    "guides.LotPart",
    "guides.PackingRun",
    "guides.Paper",
    "guides.PrintFormat",
    "guides.Question",
    "guides.ReviewComment",
    "guides.Roast",
    "guides.Roastery",
    "guides.SignOff",
    "guides.Site",
    "guides.Step",
    "guides.StepClip",
    "guides.StepPicture",
    "guides.StepText",
    "guides.Taster",
    "guides.Tasting",
    "guides.TastingCup",
    "guides.Trainee",
    "guides.TrialBrew",
    "guides.TrialPicture",
    "guides.User",
    "guides.ValveBase",
    "guides.VersionEditor",
    "guides.VersionText",
    "guides.Vessel",
)
STAYS: Final = {
    "auth.Permission": "made by every installation",
    "axes.AccessAttempt": "guards log-ins, with addresses",
    "axes.AccessAttemptExpiration": "guards log-ins",
    "axes.AccessFailureLog": "guards log-ins, with addresses",
    "axes.AccessLog": "guards log-ins, with addresses",
    "contenttypes.ContentType": "made by every installation",
    "django_tasks_database.DBTaskResult": "background work of one machine",
    "guides.ApiToken": "opens this site to a machine; another site gives its own",
    "guides.ChangeMark": "written by the database itself",
    "guides.JobRun": "background work of one machine",
    "guides.PageStamp": "written by the database itself",
    "guides.Webhook": "holds a secret; another site makes its own",
    "otp_static.StaticDevice": "guards log-ins",
    "otp_static.StaticToken": "guards log-ins: a recovery code",
    "otp_totp.TOTPDevice": "guards log-ins: holds a key",
    "sessions.Session": "who is logged in",
}
"""Models that stay, with why. Rows that only guard forms for some hours (``Passing``) stay by their nature."""

COLUMNS_STAY: Final = {
    "guides.User": {"password": "secret", "last_login": "log-ins of another site"},
    "guides.PackingRun": {"job": "background work of one machine"},
}
CALLED: Final[dict[type[models.Model], tuple[str, ...]]] = {
    Group: ("name",),
    Permission: ("content_type__app_label", "codename"),
    ContentType: ("app_label", "model"),
}
"""Rows that every installation numbers for itself: they are called by these columns, with points between."""


def tables() -> list[type[models.Model]]:
    """Give the models that go, what others refer to first."""
    waiting = {apps.get_model(label): None for label in GOES}
    ordered: list[type[models.Model]] = []
    while waiting:
        ready = [model for model in waiting if not _needs(model) & (set(waiting) - {model})]
        if not ready:
            raise RuntimeError(f"Tables that need each other: {', '.join(model.__name__ for model in waiting)}")
        ordered += ready
        for model in ready:
            del waiting[model]
    return ordered


def unstated() -> list[str]:
    """Name the models that nobody has decided about. A proxy has no table of its own."""
    known = {*GOES, *STAYS}
    every = (model for model in apps.get_models() if not model._meta.proxy)
    return [model._meta.label for model in every if model._meta.label not in known and not issubclass(model, Passing)]


def columns(model: type[models.Model]) -> Iterator[models.Field]:
    """Give the columns that go."""
    staying = COLUMNS_STAY.get(model._meta.label, {})
    yield from (column for column in model._meta.concrete_fields if column.name not in staying)


def lists(model: type[models.Model]) -> list[models.ManyToManyField]:
    """Give what a row has several of, without a table of its own."""
    return list(model._meta.local_many_to_many)


def _needs(model: type[models.Model]) -> set[type[models.Model]]:
    others = {column.related_model for column in columns(model) if column.is_relation}
    others |= {several.related_model for several in lists(model)}
    return others - {None}  # type: ignore[return-value]
