"""Every benchmark, one after the other: ``python -m tests.benchmarks [name ...]``.

Not part of the timed test suite. A module here with a ``run`` that yields lines is a benchmark.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys

from tests import benchmarks


def main(wanted: list[str]) -> int:
    """Run the benchmarks named, or all; 1 if a ratio misses its goal."""
    missed = 0
    for found in pkgutil.iter_modules(benchmarks.__path__):
        if found.name.startswith("__") or (wanted and found.name not in wanted):
            continue
        module = importlib.import_module(f"{benchmarks.__name__}.{found.name}")
        if not hasattr(module, "run"):
            continue
        print(f"\n{found.name}: {(module.__doc__ or '').splitlines()[0]}")
        for line in module.run():
            print(f"  {line}")
            missed += line.holds is False
    print(f"\n{missed} ratios miss their goal." if missed else "\nEvery ratio holds.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
