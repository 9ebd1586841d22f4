"""The whole test command: style, types, import rules, migrations, settings, and the tests on both databases.

``python3 manage.py test`` runs every step and ends non-zero if one failed; with arguments it hands them to pytest and
runs nothing else, on SQLite or on what ``DATABASE_URL`` names.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import subprocess
import sys
import sysconfig
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path

from roastery import start, throwaway_postgres

PYTEST = (sys.executable, "-m", "pytest")
# One more than there are cores: tests wait for browsers, other processes and leases a third of their time.
WORKERS = str(min((os.cpu_count() or 1) + 1, 5))


@dataclass(frozen=True)
class Step:
    """One check: what it is called, what to type, and what it finds in the environment besides ours."""

    name: str
    command: tuple[str, ...]
    environment: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Outcome:
    """How a step went: its exit status, seconds, and the last line it wrote."""

    step: Step
    status: int
    seconds: float
    last_line: str


def main(arguments: list[str]) -> int:
    """Run pytest with the arguments, or every step where there are none; return the exit status."""
    if find_spec("pytest") is None:
        print(f"The tests' packages are not installed here: install {start.PINS / 'dev.txt'}.", file=sys.stderr)
        return 2
    os.chdir(start.PROJECT)
    if arguments:
        return subprocess.run([*PYTEST, *arguments], check=False).returncode  # noqa: S603
    outcomes = []
    with _postgres() as postgres, tempfile.TemporaryDirectory(prefix="guides-check-") as folder:
        for step in steps(postgres, Path(folder)):
            print(f"\n── {step.name}: {' '.join(step.command[:8])}", flush=True)
            outcomes.append(run(step))
    print(summary(outcomes), flush=True)
    return 1 if any(outcome.status for outcome in outcomes) else 0


def steps(postgres: str, folder: Path) -> list[Step]:
    """Return the checks in the order they run, quick ones first.

    Args:
        postgres: Address of a PostgreSQL database whose user may make databases.
        folder: An empty folder for a site that exists only to be checked.
    """
    python, manage = sys.executable, (sys.executable, "manage.py")
    # Tests in a browser come last; whoever is done takes some over.
    pytest = (*PYTEST, "-n", WORKERS, "--dist", "worksteal", "--durations=15", "--durations-min=5")
    tests = {"DJANGO_SETTINGS_MODULE": "tests.settings"}
    real_site = {
        "DJANGO_SETTINGS_MODULE": "roastery.settings",
        "SECRET_KEY": secrets.token_urlsafe(50),
        "PUBLIC_BASE_URL": "https://guides.example",
        "PROXY_DEPTH": "1",
        "DATA_DIR": str(folder),
        "BACKUP_COPY_TO": "s3://copies",
        "TIME_ZONE": "Europe/Helsinki",
    }
    return [
        Step("style", (python, "-m", "ruff", "check", ".")),
        Step("format", (python, "-m", "ruff", "format", "--check", ".")),
        Step("types", (python, "-m", "mypy", "guides", "roastery")),
        Step("imports", (str(Path(sysconfig.get_path("scripts")) / "lint-imports"),)),
        Step("migrations", (*manage, "makemigrations", "--check", "--dry-run"), tests),
        Step("deployment", (*manage, "check", "--deploy", "--fail-level", "WARNING"), real_site),
        Step("tests on SQLite", (*pytest, "-q"), {"DATABASE_URL": ""}),
        Step("tests on PostgreSQL", (*pytest, "-q", "-m", "data"), {"DATABASE_URL": postgres}),
    ]


def run(step: Step) -> Outcome:
    """Run a step, its output passing through as it comes."""
    began, last = time.monotonic(), ""
    # What the developer's own site is told must not reach the tests.
    outer = {name: value for name, value in os.environ.items() if name not in ("DEBUG", "DEMO", "DATA_DIR")}
    environment = outer | {start.OFF: "1"} | step.environment
    environment = {name: value for name, value in environment.items() if value}
    with subprocess.Popen(  # noqa: S603
        step.command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as process:
        for line in process.stdout or ():
            print(line, end="", flush=True)
            last = line.strip() or last
    return Outcome(step, process.returncode, time.monotonic() - began, last)


def summary(outcomes: list[Outcome]) -> str:
    """Return a line per step, each with what it said last."""
    lines = [
        f"{'FAILED' if done.status else 'passed'}  {done.seconds:5.0f} s  {done.step.name}: {done.last_line}"
        for done in outcomes
    ]
    failed = sum(1 for outcome in outcomes if outcome.status)
    verdict = f"{failed} of {len(outcomes)} steps FAILED" if failed else f"all {len(outcomes)} steps passed"
    return "\n".join(["", "── summary", *lines, verdict])


@contextlib.contextmanager
def _postgres() -> Iterator[str]:
    given = os.environ.get("TEST_POSTGRES_URL")
    with contextlib.nullcontext(given) if given else throwaway_postgres.running() as url:
        yield url
