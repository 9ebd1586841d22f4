"""A bar on the terminal for what takes a while; nothing where the output goes to a file or a log."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tqdm import tqdm


@contextmanager
def bar(total: int, what: str) -> Iterator[Callable[[int], object]]:
    """Give a function that is told how much more is done."""
    # None: only where standard error is a terminal.
    with tqdm(total=total, desc=what, unit="", disable=None, leave=False) as shown:
        yield shown.update
