"""The project's own files, as a fresh clone would have them: all but what `.gitignore` names."""

from __future__ import annotations

import os
from fnmatch import fnmatch
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_IGNORED = [line for line in (ROOT / ".gitignore").read_text().splitlines() if line and not line.startswith("#")]


def names() -> list[str]:
    """Give every file, by its path from the top."""
    found = []
    for folder, inner, files in os.walk(ROOT):
        top = Path(folder) == ROOT
        inner[:] = [name for name in inner if not _is_ignored(name, top=top)]
        found += [str((Path(folder) / name).relative_to(ROOT)) for name in files if not _is_ignored(name, top=top)]
    return sorted(found)


def texts() -> list[tuple[str, str]]:
    """Give name and content of every file that is text."""
    found = []
    for name in names():
        try:
            found.append((name, (ROOT / name).read_text("utf-8")))
        except UnicodeDecodeError:
            continue
    return found


def _is_ignored(name: str, *, top: bool) -> bool:
    if name == ".git":
        return True
    return any(fnmatch(name, rule.strip("/")) for rule in _IGNORED if top or not rule.startswith("/"))
