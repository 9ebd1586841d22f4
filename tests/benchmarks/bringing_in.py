"""Ten thousand lots brought in from a file: looked at, then kept with their codes and their lines in the trail."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator

from tests.benchmarks.measuring import Line, at_most

ROWS = 10_000
_SCRIPT = """
import random, time
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from guides.exchange.incoming import take_in
from guides.exchange.incoming.cells import Reading
from guides.exchange.incoming.kinds import KINDS
from guides.models import Address, Lot
from tests.factories import CoffeeFactory, UserFactory

by, chance = UserFactory(is_superuser=True), random.Random(1)
CoffeeFactory(code="RW")

def rows(count, start):
    for number in range(start, start + count):
        day = f"2025-{chance.randint(1, 10):02}-{chance.randint(1, 28):02}"
        yield f"RW-{number};RW;{day};{chance.randint(800, 1500) / 100};{chance.randint(110, 170) / 10};250;rested"

def took(count, start):
    data = "\\n".join(["name;coffee;roasted_on;green_kg;loss_percent;bag_g;gas", *rows(count, start)]).encode()
    wall, began = time.time(), time.process_time()
    shown = take_in.look(KINDS["lots"], data, Reading())
    take_in.keep(KINDS["lots"], data, Reading(), by=by, source="lots.csv", shown=shown.digest())
    return time.process_time() - began, time.time() - wall

small, _wall = took({rows} // 10, 0)
large, wall = took({rows}, 1_000_000)
assert Lot.objects.count() == Address.objects.count() == {rows} + {rows} // 10
print(small, large, wall)
"""


def run() -> Iterator[Line]:
    """Bring in a tenth of the rows and then all of them, on a SQLite file."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"DATA_DIR": folder, "DJANGO_SETTINGS_MODULE": "tests.settings", "DATABASE_URL": ""}
        environment.pop("DATABASE_URL")
        script = _SCRIPT.replace("{rows}", str(ROWS))
        done = subprocess.run(
            [sys.executable, "-W", "ignore", "-c", script], check=True, capture_output=True, text=True, env=environment
        )
    small, large, wall = map(float, done.stdout.split())
    yield Line(f"looking at {ROWS} lots and keeping them, processor time", f"{large:.1f} s", "goal 30 s")
    yield Line("the same by the clock", f"{wall:.1f} s", "goal 30 s")
    yield at_most("ten times the lots cost", large / small, 15)
