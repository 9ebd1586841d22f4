"""The calculation room imported into a fresh interpreter: time and memory."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

from tests.benchmarks.measuring import Line, took

_MEASURE = """
import bisect, collections.abc, contextlib, dataclasses, enum, functools, itertools, math, time, tracemalloc, typing
{before}
import guides.calculations.adapt, guides.calculations.advice, guides.calculations.openings
{after}
"""


def _fresh(before: str, after: str) -> float:
    program = _MEASURE.format(before=before, after=after)
    found = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    return float(found.stdout)


def run() -> Iterator[Line]:
    """Import everything, the standard library's share not counted."""
    times = [_fresh("start = time.process_time()", "print(time.process_time() - start)") for _ in range(7)]
    yield took("importing the calculations", 1000 * min(times), 60)
    kept = _fresh("tracemalloc.start()", "print(tracemalloc.get_traced_memory()[0])")
    yield Line("memory they keep", f"{kept / 1e6:.2f} MB", "goal 2 MB")
