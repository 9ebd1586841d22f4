"""Measures what public pages promise, on a demo of its own, and prints it: ``python -m tests.budgets``.

Sizes, queries and ratios are asserted; times depend on the machine, and those with a goal are asserted as well. The
command ends with 1 if one is missed.
"""

from __future__ import annotations

import os
import socket
import sys
import tempfile
from pathlib import Path

from tests.commands.demo_process import Demo


def main() -> int:
    """Set up the demo, measure it from outside and from inside, print every figure."""
    with tempfile.TemporaryDirectory() as folder:
        demo = Demo(Path(folder), port := _free_port())
        try:
            demo.welcome()
            _inside(Path(folder) / "data", f"http://127.0.0.1:{port}")
            from tests.budgets import cost, phone, sizes

            addresses = sizes.addresses()
            lines = [
                *sizes.run(f"http://127.0.0.1:{port}", addresses),
                *cost.run(addresses),
                *phone.run(f"http://127.0.0.1:{port}", addresses),
            ]
        finally:
            demo.stop()
    for line in lines:
        print(line)
    missed = sum(line.holds is False for line in lines)
    print(f"\n{missed} goals are missed." if missed else "\nEvery goal is met.")
    return 1 if missed else 0


def _inside(data: Path, home: str) -> None:
    """Let this process be a second one of the demo's site."""
    os.environ.update(DATA_DIR=str(data), DEMO="1", PUBLIC_BASE_URL=home, DJANGO_SETTINGS_MODULE="roastery.settings")
    import django

    django.setup()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


if __name__ == "__main__":
    sys.exit(main())
