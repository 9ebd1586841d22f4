"""Measures what a site must keep for years, and prints the table: ``python -m tests.years [part ...]``.

Parts: speed, memory, big_site, counts. They run on SQLite, and again on PostgreSQL where ``DATABASE_URL`` names one
whose user may make databases. Ratios and counts are judged, times are printed. Ends with 1 if a goal is missed.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from contextlib import ExitStack
from pathlib import Path

from tests.benchmarks.measuring import Line

PARTS = ("speed", "memory", "big_site", "counts")
_HERE = "MEASURED_DATABASE"


def main(wanted: list[str]) -> int:
    """Run the parts named, or all, once for every database."""
    if unknown := set(wanted) - set(PARTS):
        print(f"There is no {', '.join(sorted(unknown))}. Parts: {', '.join(PARTS)}.", file=sys.stderr)
        return 2
    if _HERE in os.environ:
        return _measure(wanted or list(PARTS))
    told = {"SQLite": "", **({"PostgreSQL": given} if (given := os.environ.get("DATABASE_URL")) else {})}
    missed = 0
    for name, url in told.items():
        environment = {**os.environ, _HERE: name, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "tests.settings"}
        environment = {key: value for key, value in environment.items() if value}
        missed += subprocess.run(
            [sys.executable, "-m", "tests.years", *wanted], env=environment, check=False
        ).returncode
    if not given:
        print("\nPostgreSQL was not measured: DATABASE_URL names none.")
    return 1 if missed else 0


def _measure(parts: list[str]) -> int:
    import django

    django.setup()
    from . import big_site, counts, memory, speed
    from .served import demo_site

    missed = 0
    print(f"\n{os.environ[_HERE]}")
    with tempfile.TemporaryDirectory() as folder, ExitStack() as ends:
        if "speed" in parts or "memory" in parts:
            site = ends.enter_context(demo_site(Path(folder)))
            missed += _say(speed.run(site)) if "speed" in parts else 0
            missed += _say(memory.run(site)) if "memory" in parts else 0
        if "big_site" in parts:
            small, big = (ends.enter_context(demo_site(Path(folder))) for _site in range(2))
            missed += _say(big_site.run(small, big))
    if "counts" in parts:
        missed += _say(counts.run())
    print(f"{missed} goals are missed." if missed else "Every goal is met.")
    return 1 if missed else 0


def _say(lines: Iterable[Line]) -> int:
    missed = 0
    for line in lines:
        print(f"  {line}", flush=True)
        missed += line.holds is False
    return missed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
