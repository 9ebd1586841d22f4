"""The tests that count, at full count: what each found, as it says itself."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator

from django.db import connection

from tests.benchmarks.measuring import Line

from .rows import COUNTED, Counted

_LONG_S = 3600


def run() -> Iterator[Line]:
    """Run each at full count; it holds if its tests pass."""
    for counted in COUNTED:
        if counted.differs or connection.vendor == "sqlite":
            yield _run(counted)


def _run(counted: Counted) -> Line:
    alone = ["-p", "no:cacheprovider", "-o", f"faulthandler_timeout={_LONG_S}"]
    command = [sys.executable, "-m", "pytest", "-q", "-s", *alone, *counted.tests]
    environment = {**os.environ, "FULL_COUNTS": "1"}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    found = re.search(counted.figure, done.stdout) if counted.figure else None
    figure = found[1] if found else (done.stdout.splitlines() or [done.stderr])[-1]
    if done.returncode:
        print(done.stdout, file=sys.stderr)
    return Line(counted.what, figure, counted.goal, done.returncode == 0)
