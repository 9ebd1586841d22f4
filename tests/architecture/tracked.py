"""The project's own files, as a fresh clone would have them."""

from __future__ import annotations

import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def names() -> list[str]:
    """Give every file that git knows or would take."""
    listing = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(listing, cwd=ROOT, capture_output=True, text=True, check=True)
    return sorted(name for name in set(done.stdout.split("\0")) if name and (ROOT / name).is_file())


def texts() -> list[tuple[str, str]]:
    """Give name and content of every file that is text."""
    found = []
    for name in names():
        try:
            found.append((name, (ROOT / name).read_text("utf-8")))
        except UnicodeDecodeError:
            continue
    return found
