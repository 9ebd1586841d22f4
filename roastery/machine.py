"""What the machine itself must have for a command, and the exact line that brings what is missing.

Standard library only: this runs before anything is installed. ``python3 -m roastery.machine test`` prints the packages
that this machine lacks for the command, for a script to install.
"""

from __future__ import annotations

import ctypes
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

POSTGRES_FOLDERS = Path("/usr/lib/postgresql")


@dataclass(frozen=True)
class Need:
    """A package of Debian and Ubuntu, what it is for, and how to tell that it is there."""

    package: str
    purpose: str
    present: Callable[[], bool]


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def working_uv() -> str | None:
    """Return the path of ``uv``, if it runs: version managers leave shims behind that don't."""
    uv = shutil.which("uv")
    works = uv and subprocess.run([uv, "--version"], capture_output=True, check=False).returncode == 0  # noqa: S603
    return uv if works else None


def chromium() -> str | None:
    """Return the path of the browser that tests drive, from ``CHROMIUM`` or the system."""
    named = os.environ.get("CHROMIUM")
    return named or shutil.which("chromium") or shutil.which("chromium-browser")


def nginx() -> str | None:
    """Return the path of the web server; Debian puts it where only root's path looks."""
    return shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")


def postgres_program(name: str) -> str | None:
    """Return the path of a PostgreSQL server program of the newest version installed, or None."""
    versions = sorted(POSTGRES_FOLDERS.glob("[0-9]*"), key=lambda folder: int(folder.name), reverse=True)
    found = [folder / "bin" / name for folder in versions if (folder / "bin" / name).exists()]
    return str(found[0]) if found else shutil.which(name)


ENVIRONMENT = [
    Need(
        "python3-venv",
        "makes the project's own Python environment",
        lambda: importlib.util.find_spec("ensurepip") is not None or working_uv() is not None,
    )
]
PAPER = [
    Need("libpangoft2-1.0-0", "sets the text of printed inserts", lambda: _loads("libpangoft2-1.0.so.0")),
    Need("libharfbuzz-subset0", "trims a PDF's fonts to the letters used", lambda: _loads("libharfbuzz-subset.so.0")),
]
TESTS = [
    Need("chromium", "is the browser that tests drive", lambda: chromium() is not None),
    Need(
        "webkit2gtk-driver",
        "is the engine of iPhones' browsers, driven in tests",
        lambda: shutil.which("WebKitWebDriver") is not None,
    ),
    Need("xvfb", "is a display that nobody sees, for that engine", lambda: shutil.which("Xvfb") is not None),
    Need("libatomic1", "is what the browser's driver stands on", lambda: _loads("libatomic.so.1")),
    Need("poppler-utils", "reads finished PDFs in tests", lambda: shutil.which("pdftoppm") is not None),
    Need("nginx", "is the proxy in front of the whole site under test", lambda: nginx() is not None),
    Need("openssl", "makes that proxy's certificate", lambda: shutil.which("openssl") is not None),
    Need(
        "postgresql",
        "is the second database that tests run on (or name one in TEST_POSTGRES_URL)",
        lambda: bool(os.environ.get("TEST_POSTGRES_URL")) or postgres_program("initdb") is not None,
    ),
]
FOR_COMMAND = {"demo": PAPER, "test": PAPER + TESTS}


def missing(command: str, *, makes_environment: bool) -> list[Need]:
    """Return what this machine lacks for a command of ``manage.py``.

    Args:
        command: The command's name; most need nothing of their own.
        makes_environment: Whether ``.venv`` is still to be made.
    """
    needs = [*(ENVIRONMENT if makes_environment else []), *FOR_COMMAND.get(command, [])]
    return [need for need in needs if not need.present()]


def explain(command: str, needs: list[Need]) -> str:
    """Return the message for a person: what is missing, why it is wanted, the line to type."""
    width = max(len(need.package) for need in needs)
    listed = "\n".join(f"  {need.package:<{width}}  {need.purpose}" for need in needs)
    sudo = "" if os.geteuid() == 0 else "sudo "
    packages = " ".join(need.package for need in needs)
    install = f"{sudo}apt-get update && {sudo}apt-get install --yes --no-install-recommends {packages}"
    what = f"`manage.py {command}`" if command else "`manage.py`"
    return (
        f"{what} needs what this machine does not have:\n{listed}\n\n"
        f"On Debian and Ubuntu type\n\n  {install}\n\nand start the command again."
    )


if __name__ == "__main__":
    print(*(need.package for need in missing(sys.argv[1], makes_environment=True)))
