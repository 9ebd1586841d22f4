"""Paper: identical cards imposed against laid out, many lots stamped against laid out one by one, cost by copies.

What takes minutes is timed on some of it and multiplied, and the line says on how many: laying out is linear.
"""

from __future__ import annotations

import datetime
import hashlib
import io
import json
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import pikepdf

from tests.benchmarks.measuring import Line, at_least, at_most, best_ms

KNOWN_BEFOREHAND = "faster than each in a size of type known beforehand"


@dataclass(frozen=True)
class Counts:
    """How much is printed. ``laid_out`` of each kind are laid out by the engine, the rest is reckoned from them.

    ``runs`` is how often what is quick is measured.
    """

    cards: int = 1000
    lots: int = 1000
    copies: int = 10
    laid_out: int = 40
    runs: int = 5


def run(counts: Counts | None = None) -> Iterator[Line]:
    """Measure in a database of its own."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        os.environ.setdefault("DATA_DIR", folder)
        import django

        django.setup()
        from django.test.runner import DiscoverRunner

        runner = DiscoverRunner(verbosity=0, interactive=False)
        before = runner.setup_databases()
        try:
            yield from measured(counts or Counts())
        finally:
            runner.teardown_databases(before)


def measured(counts: Counts) -> Iterator[Line]:
    """Measure in the database at hand."""
    from guides.documents import compose, many_lots, painting, preflight
    from guides.documents.fitting import fitted
    from guides.documents.formats import CARD_A7
    from guides.documents.imposing import Copies, impose
    from guides.documents.many_lots import ManyLots, many_pdf
    from guides.documents.sheets import A4, for_format
    from guides.documents.stamping import stamped

    lots, version = _lots(counts.lots)
    order = ManyLots(lots, version, "en", CARD_A7, counts.copies, A4)
    layout = for_format(A4, CARD_A7)
    assert layout is not None
    house = compose.identity()
    bags = [bag for bag, _promise in many_lots.bags_for(lots, version, "en", CARD_A7)]
    written = [
        (compose.html(bag.sheet, bag.address, bag.symbol, house, CARD_A7), bag.symbol)
        for bag in bags[: counts.laid_out]
    ]

    def alone(number: int) -> bytes:
        return painting.painted([written[number]], house, CARD_A7)

    card = alone(0)  # letters are unpacked once for each process
    identical = partial(impose, card, [Copies((0,), counts.cards)], layout)
    imposed = best_ms(lambda: (alone(0), identical()), counts.runs)
    one = best_ms(lambda: alone(0), counts.runs)
    yield Line(f"{counts.cards} identical A7, one laid out and imposed", f"{imposed:.0f} ms")
    yield at_least(f"as often as laying out each (one: {one:.0f} ms)", counts.cards * one / imposed, 50)
    peak_mb, other = _in_a_process_of_its_own(
        written[0][0], bags[0].symbol.text, house.name, house.accent, counts.cards
    )
    yield at_most("memory of a process that makes them, of 250 MB", peak_mb / 250, 1)
    yield _equal("made there, byte for byte", other == _digest(identical()))

    few, many = (best_ms(partial(impose, card, [Copies((0,), number)], layout), 3) for number in (8, counts.cards))
    yield at_most("imposing all of them, of laying out one", (many - few) / one, 1)

    singles = best_ms(lambda: [alone(number) for number in range(counts.laid_out)], 1) / counts.laid_out * len(lots)
    sheets: list[bytes] = []
    real, preflight.check_run = preflight.check_run, lambda *_: None
    try:
        made = best_ms(lambda: sheets.append(many_pdf(order)), 1)
    finally:
        preflight.check_run = real
    whole = best_ms(lambda: sheets.append(many_pdf(order)), 1)
    lots_copies = f"{len(lots)} lots × {counts.copies}"
    yield Line(f"{lots_copies}: laid out and imposed / with every code read back", f"{made:.0f}/{whole:.0f} ms")
    yield Line(f"one layout for each lot, from {counts.laid_out} of them", f"{singles:.0f} ms")
    yield at_least(f"{lots_copies} stamped, faster than one layout for each lot", singles / made, 4)
    laid = fitted(painting.draft_of(written[0][0], CARD_A7), written[0][1], house, CARD_A7)
    known = best_ms(lambda: painting.draft_of(written[0][0], CARD_A7).lay_out(laid.rules).pdf(), counts.runs)
    yield at_least(f"{lots_copies} stamped, {KNOWN_BEFOREHAND}", known * len(lots) / made, 4)
    yield at_most(f"{lots_copies} with every code read back, of the single layouts alone", whole / singles, 1)
    yield _equal("the same run twice, byte for byte", sheets[0] == sheets[1])

    # Were it to grow with the square, this would be 2.
    half = best_ms(lambda: stamped(bags[: len(bags) // 2], house, CARD_A7), 3)
    full = best_ms(lambda: stamped(bags, house, CARD_A7), 3)
    yield at_most("twice the lots, of twice the cost", full / (2 * half), 1.5)
    with pikepdf.open(io.BytesIO(sheets[0])) as pdf:
        yield Line("sheets in that file, and its size", f"{len(pdf.pages)}, {len(sheets[0]) / 1e6:.1f} MB")


def _equal(what: str, holds: bool) -> Line:
    return Line(what, "equal" if holds else "differs", "", holds)


def _digest(pdf: bytes) -> str:
    return hashlib.sha256(pdf).hexdigest()


def _in_a_process_of_its_own(*card: object) -> tuple[float, str]:
    """Lay a card out and impose it in a fresh process; give the most memory that it held, in MB, and what it made."""
    command = [sys.executable, "-m", __name__]
    said = subprocess.run(command, input=json.dumps(card), capture_output=True, text=True, check=True)
    peak_mb, digest = json.loads(said.stdout)
    return peak_mb, digest


def _alone(html: str, text: str, house: str, accent: str, copies: int) -> tuple[float, str]:
    import django

    django.setup()
    from guides.codes import qr
    from guides.documents import painting
    from guides.documents.compose import House
    from guides.documents.formats import CARD_A7
    from guides.documents.imposing import Copies, impose
    from guides.documents.sheets import A4, for_format

    layout = for_format(A4, CARD_A7)
    assert layout is not None
    card = painting.painted([(html, qr.symbol(text))], House(house, accent), CARD_A7)
    sheets = impose(card, [Copies((0,), copies)], layout)
    # Not ``ru_maxrss``, which a process inherits from the one that started it.
    (peak,) = re.findall(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text())
    return int(peak) / 1024, _digest(sheets)


def _lots(count: int) -> tuple[list, object]:
    """Lots of one guide, roasted on different days."""
    from guides.models import Roastery
    from tests.factories import ValveVersionFactory, published
    from tests.factories.packed import packed

    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en"])
    version = published(ValveVersionFactory())
    first = datetime.date(2025, 1, 1)
    days = [first + datetime.timedelta(days=number % 300) for number in range(count)]
    return [packed(version, name=f"BM-{number}", roasted_on=day)[0] for number, day in enumerate(days)], version


if __name__ == "__main__":
    print(json.dumps(_alone(*json.load(sys.stdin))))
