"""How the site is, in words: each finding with what to do where something is to be done."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from babel.dates import format_timedelta
from babel.units import format_unit
from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from guides.queries.condition import Condition

_GB = 1_000_000_000
_MINUTE = datetime.timedelta(minutes=1)


class Level(Enum):
    WELL = "well"
    WATCH = "watch"
    WRONG = "wrong"


@dataclass(frozen=True)
class Finding:
    """One line: ``key`` for machines, the rest in the language in force; ``advice`` is empty where all is well."""

    key: str
    name: str
    value: str
    level: Level = Level.WELL
    advice: str = ""


def findings(condition: Condition, language: str) -> list[Finding]:
    """Give every line, those first that need somebody."""
    lines = [
        *_backups(condition, language),
        _workers(condition),
        _queue(condition, language),
        _failed(condition),
        _disk(condition, language),
        Finding("database", _("Database"), f"{condition.database}, {_size(condition.database_bytes, language)}"),
        _guards(condition),
        _codes(condition),
        _clock(condition, language),
    ]
    order = (Level.WRONG, Level.WATCH, Level.WELL)
    return sorted(lines, key=lambda line: order.index(line.level))


def _backups(condition: Condition, language: str) -> Iterator[Finding]:
    age, name = condition.backup_age, _("Newest backup")
    limit = datetime.timedelta(hours=settings.BACKUP_ALARM_H)
    if not condition.has_work:
        yield Finding("backups", name, _("none needed: there is no work of yours yet"))
        return
    make = _("Make one: python3 manage.py backup. See that the worker runs and BACKUP_EVERY_H is not 0.")
    if age is None and settings.BACKUP_COPY_TO and condition.backup is not None:
        copy = _("Look at %(place)s; the job that failed says why.") % {"place": _place()}
        yield Finding("backups", name, _("not copied off this machine"), Level.WRONG, copy)
    elif age is None:
        yield Finding("backups", name, _("there is none"), Level.WRONG, make)
    elif age > limit:
        yield Finding("backups", name, _ago(age, language), Level.WRONG, make)
    else:
        yield Finding("backups", name, _ago(age, language))
    yield _copies()
    if condition.backup is not None:
        yield _proof(condition.backup.proven_at is not None, condition.backup.fault)


def _copies() -> Finding:
    name = _("Copies of backups")
    if settings.BACKUP_COPY_TO:
        return Finding("copies", name, _place())
    advice = _("A disk that fails takes them along. Set BACKUP_COPY_TO to a share or an object store.")
    return Finding("copies", name, _("on this machine alone"), Level.WATCH, advice)


def _proof(proven: bool, fault: str) -> Finding:
    name, drill = _("Restoring it"), _("Prove it: python3 manage.py drill_restore")
    if fault:
        return Finding("proof", name, fault.splitlines()[0], Level.WRONG, drill)
    if not proven:
        return Finding("proof", name, _("not tried yet"), Level.WELL, drill)
    return Finding("proof", name, _("proven by a drill"))


def _workers(condition: Condition) -> Finding:
    name = _("Workers")
    if condition.workers or condition.running:
        return Finding("workers", name, str(max(condition.workers, 1)))
    advice = _("Nothing is printed ahead, published at its time or backed up. Start one: python3 manage.py work")
    return Finding("workers", name, _("none lives"), Level.WRONG, advice)


def _queue(condition: Condition, language: str) -> Finding:
    name = _("Waiting work")
    if not condition.waiting:
        return Finding("queue", name, _("none"))
    wait = format_timedelta(condition.longest_wait, locale=language)
    value = ngettext("%(number)s, for %(wait)s", "%(number)s, the first for %(wait)s", condition.waiting)
    value = value % {"number": condition.waiting, "wait": wait}
    if condition.longest_wait < 5 * _MINUTE:
        return Finding("queue", name, value)
    level = Level.WRONG if condition.longest_wait > 30 * _MINUTE else Level.WATCH
    return Finding("queue", name, value, level, _("Start a second worker, or look why the first is stuck."))


def _failed(condition: Condition) -> Finding:
    name = _("Failed work of seven days")
    if not condition.failed:
        return Finding("failed", name, _("none"))
    return Finding("failed", name, str(condition.failed), Level.WATCH, _("Each says why, and can be started again."))


def _disk(condition: Condition, language: str) -> Finding:
    free, name = condition.disk_free_bytes, _("Free disk")
    value = _("%(free)s of %(all)s") % {"free": _size(free, language), "all": _size(condition.disk_bytes, language)}
    advice = _("Make room, or lower BACKUP_KEEP. A full disk stops printing and backups.")
    if free < _GB or free < condition.disk_bytes / 50:
        return Finding("disk", name, value, Level.WRONG, advice)
    if free < 3 * _GB or free < condition.disk_bytes / 20:
        return Finding("disk", name, value, Level.WATCH, advice)
    return Finding("disk", name, value)


def _guards(condition: Condition) -> Finding:
    name, missing = _("Guards of what is printed"), condition.missing_guards + condition.missing_marks
    if not missing:
        return Finding("guards", name, _("all in place"))
    value = _("%(number)s missing") % {"number": missing}
    return Finding("guards", name, value, Level.WRONG, _("Type: python3 manage.py migrate --skip-checks"))


def _codes(condition: Condition) -> Finding:
    name, codes = _("Codes on bags and walls"), condition.codes
    if codes is None:
        advice = _("No new lot gets a code. Look at the disk or object store that files lie in.")
        return Finding("codes", name, _("their records are not reached"), Level.WRONG, advice)
    if codes.unknown:
        value = ngettext(
            "%(number)d was made and is not known here", "%(number)d were made and are not known here", codes.unknown
        )
        advice = _("Bags may carry them. Type: python3 manage.py take_in_codes")
        return Finding("codes", name, value % {"number": codes.unknown}, Level.WRONG, advice)
    if codes.unrecorded:
        value = _("%(number)s without a record outside the database") % {"number": codes.unrecorded}
        return Finding("codes", name, value, Level.WATCH, _("The worker writes it within minutes. See that it runs."))
    value = _("%(number)s, each with a record outside the database") % {"number": codes.known}
    return Finding("codes", name, value if codes.known else _("none made yet"))


def _clock(condition: Condition, language: str) -> Finding:
    name, off = _("Clock"), max(condition.clock_off, condition.ahead_of_us)
    if off < datetime.timedelta(seconds=5):
        return Finding("clock", name, _("right, as far as this site can tell"))
    value = _("off by %(time)s") % {"time": format_timedelta(off, granularity="second", locale=language)}
    advice = _("Days off roast and times set for publishing depend on it. Turn on the system's time service.")
    return Finding("clock", name, value, Level.WRONG if off > _MINUTE else Level.WATCH, advice)


def _place() -> str:
    """Where copies go, without anything that opens it."""
    place = settings.BACKUP_COPY_TO
    return f"s3://{place.name}" if place and not isinstance(place, Path) else str(place)


def _ago(age: datetime.timedelta, language: str) -> str:
    return format_timedelta(-age, add_direction=True, locale=language)


def _size(number: int, language: str) -> str:
    if number >= _GB:
        return format_unit(round(number / _GB, 1), "digital-gigabyte", length="short", locale=language)
    return format_unit(round(number / 1e6, 1), "digital-megabyte", length="short", locale=language)
