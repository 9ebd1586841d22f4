"""The tests that count, at full count: what each found, as it says itself."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import connection

from tests.benchmarks.measuring import Line


@dataclass(frozen=True)
class Counted:
    """What is counted, its goal, where the test is, and how to find the figure in what that prints."""

    what: str
    goal: str
    test: str
    figure: str
    differs: bool = True
    """Whether it says something else on another database."""


COUNTED = (
    Counted(
        "20 publishers × 10 at once: published and numbered without gaps",
        "200/200",
        "tests/lifecycle/test_publish_race.py::test_every_revision_is_published_and_numbered_without_gaps",
        r"(\d+/\d+) published",
    ),
    Counted(
        "200 worker kills: jobs done, files damaged",
        "200 done, 0 damaged",
        "tests/commands/test_work_kills.py::test_killed_workers_lose_and_damage_nothing",
        r"worker kills: (.*)",
    ),
    Counted(
        "20 backups under write load, restored and compared",
        "20 whole",
        "tests/commands/test_backup.py",
        r"(\d+ backups) while",
    ),
    Counted(
        "a hostile text on pages, at the desk, in previews, on paper",
        "0 ran",
        "tests/public/test_hostile_text.py",
        r"(\d+ texts as questions, answers and form: 0 ran)",
        differs=False,
    ),
    Counted(
        "ways out of a PDF: connections, local files",
        "21 refused",
        "tests/documents/test_render.py",
        r"of (\d+ ways)",
        differs=False,
    ),
    Counted("guessed codes: drafts leaked", "0 hits", "tests/public/test_unknown.py", r"(\d+ guesses, \d+ hits)"),
    Counted(
        "30 a day over 4 workers, forwarding forged: posts taken",
        "30",
        "tests/lifecycle/test_rate_limit.py",
        r"(\d+ of \d+ posts taken)",
    ),
    Counted(
        "robots' and people's questions",
        "0 of 500, 50 of 50",
        "tests/public/test_asking.py",
        r": (\d+ of \d+ robots' posts kept, \d+ of \d+ people's)",
    ),
    Counted(
        "every printed code after rename, merge, retirement, recall, another domain",
        "0 dead, 0 wrong",
        "tests/public/test_codes_for_ever.py",
        r"(\d+ addresses.*)",
    ),
    Counted(
        "two web hosts, two workers, one of each killed under load",
        "nothing lost",
        "tests/commands/test_whole_site.py",
        r"(\d+ requests with .*?); ",
    ),
)


def run() -> Iterator[Line]:
    """Run each at full count; it holds if its tests pass."""
    for counted in COUNTED:
        if counted.differs or connection.vendor == "sqlite":
            yield _run(counted)


def _run(counted: Counted) -> Line:
    command = [sys.executable, "-m", "pytest", "-q", "-s", "-p", "no:cacheprovider", counted.test]
    environment = {**os.environ, "FULL_COUNTS": "1"}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    found = re.search(counted.figure, done.stdout)
    figure = found[1] if found else done.stdout.splitlines()[-1]
    if done.returncode:
        print(done.stdout, file=sys.stderr)
    return Line(counted.what, figure, counted.goal, done.returncode == 0)
