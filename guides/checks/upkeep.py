"""Whether the site would outlive its machine: backups, where they lie, room on the disk, and the right time."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.checks import CheckMessage, Error, Info, Tags, Warning, register
from django.utils.translation import override

from guides.presenters.site_condition import Level, findings
from guides.queries import condition

from .site import migrated

# Findings of the site's condition that say something of how it is set up, and not of this moment.
_NUMBERS: Final = {
    "backups": "guides.W009",
    "disk": "guides.W010",
    "clock": "guides.W011",
    "codes": "guides.W017",
}


@register(Tags.database)
def kept_up(databases: Sequence[str] | None = None, **_kwargs: Any) -> list[CheckMessage]:
    """W009, W010, W011, W017: the newest backup is old, the disk nearly full, the clock wrong, a code not known."""
    if settings.DEMO or not any(connection.alias == "default" for connection in migrated(databases)):
        return []
    with override("en"):
        lines = findings(condition.now(), "en")
    return [
        Warning(f"{line.name}: {line.value}.", hint=line.advice, id=_NUMBERS[line.key])
        for line in lines
        if line.level is Level.WRONG and line.key in _NUMBERS
    ]


@register(deploy=True)
def copies_elsewhere(**_kwargs: Any) -> list[CheckMessage]:
    """W012, W013: backups that a failing disk takes along."""
    if settings.DEMO:
        return []
    place = settings.BACKUP_COPY_TO
    hint = "Write the path of a mounted share, or s3://bucket/prefix, into BACKUP_COPY_TO."
    if not place:
        return [Warning("Backups stay on this machine: a disk that fails takes them along.", hint, id="guides.W012")]
    if isinstance(place, Path) and place.is_dir() and place.stat().st_dev == settings.DATA_DIR.stat().st_dev:
        text = f"BACKUP_COPY_TO is {place}, which is on the same disk as the site: one failure takes both."
        return [Warning(text, hint=hint, id="guides.W013")]
    return []


@register()
def folders_writable(**_kwargs: Any) -> list[CheckMessage]:
    """E014: folders the site must write to."""
    folders = {"DATA_DIR": settings.DATA_DIR, "BACKUP_DIR": settings.BACKUP_DIR}
    return [
        Error(
            f"{name} is {folder}, which this user may not write.",
            hint=f"Give it to the user that the site runs as, or name another folder in {name}.",
            id="guides.E014",
        )
        for name, folder in folders.items()
        if folder.exists() and not os.access(folder, os.W_OK | os.X_OK)
    ]


@register(Tags.database)
def tools_of_the_database(databases: Sequence[str] | None = None, **_kwargs: Any) -> list[CheckMessage]:
    """W015: PostgreSQL's own tools, which make the backups and read no newer server than themselves."""
    found: list[CheckMessage] = []
    for connection in migrated(databases):
        if connection.vendor != "postgresql":
            continue
        server, tool = connection.get_database_version()[0], _major_of("pg_dump")
        if tool is None or tool < server:
            has = "is not installed" if tool is None else f"is of version {tool}"
            hint = f"Type: apt-get install --yes postgresql-client-{server}"
            found.append(
                Warning(f"pg_dump {has}, the server of {server}: no backup can be made.", hint, id="guides.W015")
            )
    return found


@register(deploy=True)
def zone_chosen(**_kwargs: Any) -> list[CheckMessage]:
    """I016: the zone that days off roast are counted in."""
    if settings.TIME_ZONE != "UTC":
        return []
    text = "TIME_ZONE is UTC: days off roast change at midnight there, not at the roastery's."
    return [Info(text, hint="Write the roastery's own, such as Europe/Helsinki, into TIME_ZONE.", id="guides.I016")]


def _major_of(program: str) -> int | None:
    path = shutil.which(program)
    if path is None:
        return None
    said = subprocess.run([path, "--version"], capture_output=True, text=True, check=False).stdout  # noqa: S603
    found = re.search(r"(\d+)", said)
    return int(found[1]) if found else None
