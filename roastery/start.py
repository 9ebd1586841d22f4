"""From nothing but Python to a running command: an environment of the project's own with the pinned packages in it.

Standard library only, and readable by an older Python, so that this file can say that it is too old. Inside any virtual
environment, or with ``ROASTERY_NO_BOOTSTRAP=1``, nothing is made or installed.
"""

from __future__ import annotations

import argparse
import contextlib
import fcntl
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from roastery import machine

PROJECT = Path(__file__).resolve().parent.parent
VENV = PROJECT / ".venv"
PINS = PROJECT / "roastery" / "requirements"
OLDEST = (3, 11)
OFF = "ROASTERY_NO_BOOTSTRAP"
DEMO_COMMANDS = ("demo", "remove_demo")


def prepare(arguments: list[str]) -> None:
    """Return with all in place for the command, or start it again with the environment's Python.

    Args:
        arguments: The command line, its first item the path of ``manage.py``.

    Raises:
        SystemExit: Python is too old, a system package is missing, or installing failed; the text says what to do.
    """
    if sys.version_info < OLDEST:
        sys.exit(f"This needs Python 3.11 or newer and was started with {sys.version.split()[0]}.")
    command = arguments[1] if len(arguments) > 1 else ""
    inside = sys.prefix != sys.base_prefix or os.environ.get(OFF) == "1"
    lacking = machine.missing(command, makes_environment=not inside and not _fits())
    if lacking:
        sys.exit(machine.explain(command, lacking))
    if command in DEMO_COMMANDS:
        _choose_demo(arguments[2:])
    if not inside:
        pins = PINS / ("dev.txt" if command == "test" else "run.txt")
        try:
            install(pins)
        except (OSError, subprocess.CalledProcessError) as error:
            sys.exit(f"The packages in {pins.relative_to(PROJECT)} could not be installed into {VENV}: {error}")
        python = str(VENV / "bin" / "python")
        os.execv(python, [python, *arguments])  # noqa: S606 our own path


def install(pins: Path) -> None:
    """Bring ``.venv`` to the pins, or see from its stamp that it is there.

    Raises:
        OSError: The project's folder cannot be written.
        subprocess.CalledProcessError: Installing failed; its own output says why.
    """
    if _is_installed(pins):
        return
    with _one_at_a_time():
        if _is_installed(pins):  # the other terminal did it
            return
        print(f"Installing the pinned packages into {VENV.name} (this once; a minute or two) …", file=sys.stderr)
        uv = machine.working_uv()
        if not _fits() or not (uv or (VENV / "bin" / "pip").exists()):
            _make_environment(uv)
        python = str(VENV / "bin" / "python")
        tool = [uv, "pip", "install", "--quiet", "--python", python] if uv else [python, "-m", "pip", "install", "-q"]
        # Every package is pinned with its hash, so nothing is left to resolve.
        subprocess.run([*tool, "--require-hashes", "--no-deps", "-r", str(pins)], check=True)  # noqa: S603
        # What the tests need holds all that the site needs.
        for done in (pins, PINS / "run.txt"):
            _stamp(done).write_text(_wanted(done))


def _fits() -> bool:
    """Tell whether ``.venv`` is there and made for this Python version."""
    library = VENV / "lib" / f"python{sys.version_info[0]}.{sys.version_info[1]}"
    return library.is_dir() and (VENV / "bin" / "python").exists()


def _is_installed(pins: Path) -> bool:
    stamp = _stamp(pins)
    return _fits() and stamp.exists() and stamp.read_text() == _wanted(pins)


def _stamp(pins: Path) -> Path:
    return VENV / f"installed-{pins.name}"


def _wanted(pins: Path) -> str:
    return f"{sys.version_info[0]}.{sys.version_info[1]} {hashlib.sha256(pins.read_bytes()).hexdigest()}\n"


def _make_environment(uv: str | None) -> None:
    shutil.rmtree(VENV, ignore_errors=True)
    maker = [uv, "venv", "--quiet", "--python", sys.executable] if uv else [sys.executable, "-m", "venv"]
    subprocess.run([*maker, str(VENV)], check=True)  # noqa: S603


@contextlib.contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Hold a lock on this very file, so that two terminals don't install at once; it goes with the process."""
    with open(__file__) as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _choose_demo(arguments: list[str]) -> None:
    """Turn the settings to the demo site before they are read, at the address it will be served from."""
    os.environ.setdefault("DEMO", "1")
    parser = argparse.ArgumentParser(add_help=False, exit_on_error=False)
    parser.add_argument("--port", type=int, default=8000)
    with contextlib.suppress(argparse.ArgumentError):  # the command itself explains a wrong argument
        port = parser.parse_known_args(arguments)[0].port
        os.environ.setdefault("PUBLIC_BASE_URL", f"http://127.0.0.1:{port}")
