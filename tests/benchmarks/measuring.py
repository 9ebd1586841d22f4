"""How benchmarks measure: processor time, best of several runs; times are printed, ratios are asserted."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """One line of the report. ``holds`` is ``None`` for an absolute time: it says something about the machine."""

    what: str
    figure: str
    goal: str = ""
    holds: bool | None = None

    def __str__(self) -> str:
        verdict = {True: "holds", False: "FAILS", None: ""}[self.holds]
        return f"{self.what:<66} {self.figure:>14}  {self.goal:<22} {verdict}".rstrip()


def best_ms(work: Callable[[], object], runs: int = 15) -> float:
    """Processor milliseconds of the quickest of several runs on one core."""

    def once() -> float:
        before = time.process_time()
        work()
        return time.process_time() - before

    return min(once() for _ in range(runs)) * 1000


def at_least(what: str, ratio: float, goal: float) -> Line:
    """A ratio that must reach a goal."""
    return Line(what, f"{ratio:.1f} x", f"at least {goal:g} x", ratio >= goal)


def at_most(what: str, ratio: float, goal: float) -> Line:
    """A ratio that must stay under a goal."""
    return Line(what, f"{ratio:.2f} x", f"at most {goal:g} x", ratio <= goal)


def took(what: str, milliseconds: float, goal_ms: float) -> Line:
    """An absolute time, printed beside its goal and not asserted."""
    return Line(what, f"{milliseconds:.2f} ms", f"goal {goal_ms:g} ms")
