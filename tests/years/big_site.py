"""Every page of a site with years of work in it beside the same page of a small one.

The small site is the demo; the big one is the demo with 300 guides, 2,000 lots with their codes, and 20,000 trial brews
besides, spread over all coffees and guides. Both answer in turns, each in a process of its own; what counts is the
quickest of several answers, made anew.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager

from tests.benchmarks.measuring import Line

from .served import Served

LOTS, GUIDES, BREWS = 2_000, 300, 20_000
TIMES = 5
GOAL = 2.0
WORST = 5
WHOLE = ("admin/register/", "admin/guides/lot/export/")
"""These hold every row, for paper and for spreadsheets: they grow with the site, and are shown and not judged."""

FILL = f"""
import random
from datetime import timedelta
from guides.choices import Follow, State
from guides.codes import short_code
from guides.models import Address, Assignment, Coffee, GuideVersion, Lot, TrialBrew
from tests.factories.busy import busy_site, know_sizes

beans = list(Coffee.objects.order_by("pk"))
theirs = {{lot.coffee_id: lot for lot in Lot.objects.order_by("-roasted_on")}}
first = {{one.lot.coffee_id: one.guide for one in Assignment.objects.select_related("lot")}}
busy_site({LOTS} - {LOTS} // 4, {GUIDES})
# A quarter of the lots is of the demo's coffees, one every other week: its pages grow old, too.
numbers = range({LOTS} // 4)
base = {{coffee.pk: theirs[coffee.pk] for coffee in beans if coffee.pk in theirs}}
made = []
for number in numbers:
    lot = list(base.values())[number % len(base)]
    own = ("id", "name", "roasted_on", "recalled_at", "recalled_by_id", "recall_reason")
    same = {{field.attname: getattr(lot, field.attname) for field in Lot._meta.concrete_fields}}
    same = {{name: value for name, value in same.items() if name not in own}}
    day = lot.roasted_on - timedelta(days=14 * (1 + number // len(base)))
    made.append(Lot(**same, name=f"OLD-{{number:05d}}", roasted_on=day))
made = Lot.objects.bulk_create(made)
Assignment.objects.bulk_create(
    Assignment(lot=lot, guide=first[lot.coffee_id], follow=Follow.NEWEST) for lot in made if lot.coffee_id in first
)
coded = set(Address.objects.values_list("lot", flat=True))
Address.objects.bulk_create(
    Address(code=short_code.new(), lot_id=pk) for pk in Lot.objects.exclude(pk__in=coded).values_list("pk", flat=True)
)
chance, lots, model = random.Random(1), {{}}, TrialBrew.objects.exclude(flow_factor=None).first()
for lot in Lot.objects.order_by("-roasted_on"):
    lots.setdefault(lot.coffee_id, []).append(lot.pk)
versions = list(GuideVersion.objects.filter(state=State.PUBLISHED).select_related("guide"))
TrialBrew.objects.bulk_create(
    (TrialBrew(
        lot_id=chance.choice(lots[version.guide.coffee_id]), version=version, brewed_by=model.brewed_by,
        brewer_id=version.brewer_id, dose_g=version.dose_g, water_g=version.water_g, kettle_c=version.kettle_c,
        grind_um=version.grind_um, drained_s=model.drained_s, planned=model.planned, predicted=model.predicted,
        flow_factor=model.flow_factor * chance.uniform(0.9, 1.1), learnt_with=model.learnt_with)
     for version in (versions[number % len(versions)] for number in range({BREWS}))),
    batch_size=500,
)
know_sizes()
"""
ANSWER = """
import json, sys, time, logging
from django.conf import settings
from django.contrib import admin
from django.db import connection
from django.test import Client
from django.utils import timezone
from guides.api import kept as answers
from guides.models import Address, GuideVersion, Tasting, User
from guides.public import kept
from guides.presenters import tasting_addresses
from tests.admin import matrix

logging.disable(logging.CRITICAL)
settings.PAGES_DIR = None
first = {model._meta.model_name: model.objects.order_by("pk").first() for model in admin.site._registry}
code = Address.objects.order_by("lot_id").first()
version = GuideVersion.objects.filter(state="published").order_by("pk").first()
tasting = Tasting.objects.order_by("pk").first()
world = {
    **{name: row.pk if row else 0 for name, row in first.items()},
    "lot": code.lot_id, "lot_name": code.lot.name, "guide": version.guide_id, "guideversion": version.pk,
    "code": code.code, "guide_number": version.guide.number, "edition": f"{version.guide.number}.{version.revision}",
    "site_code": first["site"].code, "tasting_token": tasting_addresses.token(tasting.number) if tasting else "none",
    "guide_slug": version.guide.slug, "coffee_slug": version.guide.coffee.slug,
}
client = Client(headers={"host": "guides.example", "x-forwarded-proto": "https"})
boss, _made = User.objects.get_or_create(username="walker", defaults={"is_staff": True, "is_superuser": True})
client.force_login(boss)
def part(route, address):  # of a list for machines, as long on both sites
    return f"{address}?limit=3" if route in ("api/v1/coffees", "api/v1/lots", "api/v1/guides") else address


ours = ("bare", "from-disk", "anew")
routes = {f"{route} {number}": part(route, address) for route in matrix.routes() if not route.startswith(ours)
          for number, (address, _area, page) in enumerate(matrix.rows(route, world) or ())
          if page not in ("pdf", "pack") and not page.startswith("act ")}
print(json.dumps(sorted(routes)), flush=True)
for line in sys.stdin:
    kept.shelf.pages.clear()
    answers._answers.clear()
    began = time.perf_counter()
    answer = client.get(routes[line[:-1]])
    size = len(answer.content) if not answer.streaming else 0
    print(json.dumps([answer.status_code, 1000 * (time.perf_counter() - began), size]), flush=True)
"""


class Talker:
    """A process of a site that answers a page at a time and says how long it took."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process
        self.routes: list[str] = self._told()

    def ask(self, route: str) -> tuple[int, float, int]:
        assert self._process.stdin is not None
        self._process.stdin.write(route + "\n")
        self._process.stdin.flush()
        status, took_ms, size = self._told()
        return status, took_ms, size

    def _told(self) -> list:  # type: ignore[type-arg]
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        if not line:
            raise AssertionError(self._process.communicate()[1])
        return list(json.loads(line))


@contextmanager
def talking(site: Served) -> Iterator[Talker]:
    process = site.begin(ANSWER, stdin=True)
    try:
        yield Talker(process)
    finally:
        process.kill()
        process.communicate()


def run(small: Served, big: Served) -> Iterator[Line]:
    """Fill the second site, walk both, and name the pages that grew most."""
    big.run(FILL)
    grown: list[tuple[float, float, float, str]] = []
    with talking(small) as one, talking(big) as other:
        shared = sorted(set(one.routes) & set(other.routes))
        for route in shared:
            if one.ask(route)[0] != 200 or other.ask(route)[0] != 200:
                continue
            pairs = [(one.ask(route)[1], other.ask(route)[1]) for _time in range(TIMES)]
            before, after = min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)
            grown.append((after / before, before, after, route.rsplit(" ", 1)[0]))
    grown.sort(reverse=True)
    judged = [page for page in grown if page[-1] not in WHOLE]
    slow = sum(ratio > GOAL for ratio, *_rest in judged)
    what = f"pages slower than {GOAL:g} x with {LOTS} lots, {GUIDES} guides, {BREWS} trial brews"
    yield Line(what, f"{slow} of {len(judged)}", "none", slow == 0)
    for ratio, before, after, route in grown[: max(WORST, slow + len(WHOLE))]:
        yield Line(f"  {route}", f"{ratio:.2f} x", f"{before:.0f} ms → {after:.0f} ms")
