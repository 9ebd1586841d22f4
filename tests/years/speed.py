"""A lot's page beside a bare answer: throughput under gunicorn, both asked in turns, in the same run.

Bare is an answer of the same body through the same middleware. On a machine that does other things too, a time says
little and so does one comparison: kinds take turns in an order of chance, and the ratio is the middle of all rounds'.
"""

from __future__ import annotations

import gzip
import random
import statistics
from collections.abc import Callable, Iterator

from tests.benchmarks.measuring import Line

from .served import Answer, Link, Served, burst, serving

ROUNDS = 15
CODES = "from guides.models import Address; print(*Address.objects.values_list('code', flat=True))"
KEPT, UNCHANGED = "a lot's page, kept in memory", "the same, not changed since (304)"
STORED, ANEW = "the same, not in memory, from the disk", "the same, made anew"
GOALS = {KEPT: 0.7, UNCHANGED: 0.9, STORED: 0.3}
EACH = {"bare": 240, KEPT: 240, UNCHANGED: 240, STORED: 240, ANEW: 24}


def run(site: Served) -> Iterator[Line]:
    """Serve the site, let the kinds take turns, compare."""
    code, body = _heaviest(site)
    (site.folder / "body").write_bytes(body)
    with serving(site) as server:
        with Link(server.port) as link:
            page = link.ask(f"/L/{code}")
            assert gzip.decompress(page.body) == gzip.decompress(link.ask("/bare").body) == body
            assert link.ask(f"/L/{code}", page.etag).status == 304
            assert page.etag
        kinds: dict[str, Callable[[Link], Answer]] = {
            "bare": lambda link: link.ask("/bare"),
            KEPT: lambda link: link.ask(f"/L/{code}"),
            UNCHANGED: lambda link: link.ask(f"/L/{code}", page.etag),
            STORED: lambda link: link.ask(f"/from-disk/{code}"),
            ANEW: lambda link: link.ask(f"/anew/{code}"),
        }
        rates, times = _take_turns(server.port, kinds)
    for kind, own in rates.items():
        ratio = statistics.median(mine / bare for mine, bare in zip(own, rates["bare"], strict=True))
        goal = GOALS.get(kind)
        judged = (f"at least {goal:g} x", ratio >= goal) if goal else ()
        yield Line(f"throughput beside bare: {kind}", f"{ratio:.2f} x", *judged)
    for kind, took in times.items():
        yield Line(f"p99 of {len(took)} answers: {kind}", f"{1000 * statistics.quantiles(took, n=100)[98]:.1f} ms")


def _heaviest(site: Served) -> tuple[str, bytes]:
    """Give the code of the longest page, and the page."""
    with serving(site, 1) as server, Link(server.port) as link:
        pages = {code: gzip.decompress(link.ask(f"/L/{code}").body) for code in site.run(CODES).split()}
    return max(pages.items(), key=lambda page: len(page[1]))


def _take_turns(
    port: int, kinds: dict[str, Callable[[Link], Answer]]
) -> tuple[dict[str, list[float]], dict[str, list[float]]]:
    """Give the answers per second of every round, and the seconds of every answer, by kind."""
    rates: dict[str, list[float]] = {kind: [] for kind in kinds}
    times: dict[str, list[float]] = {kind: [] for kind in kinds}
    chance = random.Random(1)
    for number in range(ROUNDS + 1):
        for kind in chance.sample(list(kinds), len(kinds)):
            seconds, answers = burst(port, EACH[kind], kinds[kind])
            assert {answer.status for answer in answers} == {304 if kind == UNCHANGED else 200}
            if number:  # the first round is for warming up
                rates[kind].append(len(answers) / seconds)
                times[kind] += [answer.took_s for answer in answers]
    return rates, times
