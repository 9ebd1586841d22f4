"""Printing many is cheap: one layout for however many copies, and for many lots one layout and a stamp for each.

Processor times of one process are compared with each other, never with a clock on the wall. A plain run does so for few
lots; ``FULL_COUNTS=1`` and ``python -m tests.benchmarks printing`` for 1,000 lots of 10 copies.
"""

import os

import pytest

from tests.benchmarks.printing import KNOWN_BEFOREHAND, Counts, measured

FULL = os.environ.get("FULL_COUNTS") == "1"
COUNTS = Counts() if FULL else Counts(lots=24, laid_out=2, runs=2)


@pytest.mark.django_db
def test_copies_cost_next_to_nothing_and_lots_little():
    # The one layout of few lots is dear where no size of type has to be found.
    lines = [line for line in measured(COUNTS) if FULL or KNOWN_BEFOREHAND not in line.what]
    print(*lines, sep="\n")
    assert sum(line.holds is True for line in lines) == 8 + FULL
    assert [str(line) for line in lines if line.holds is False] == []
