"""Every address of the site × every role × every method: nobody gets an answer that is not for them.

A plain run asks for what must be refused, by GET and POST as everybody and by all seven methods as two; with
``FULL_COUNTS=1`` everybody asks for everything by all seven.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib import admin
from django.db import transaction
from django.http import HttpResponse
from django.test import Client

from guides.admin import insert_button, paper_sizes
from guides.admin import site as site_desk
from guides.choices import Opened
from guides.documents import papers, test_sheets
from guides.lifecycle import review
from guides.models import (
    CoffeePicture,
    Dispatch,
    GreenLot,
    GuideOpens,
    HomeBrew,
    JobRun,
    LotCheck,
    Roast,
    Roastery,
    StepClip,
    StepPicture,
    User,
)
from guides.presenters import tasting_addresses
from guides.queries import lots
from tests.factories import (
    GrinderFactory,
    GuideVersionFactory,
    LabelStockFactory,
    PackingRunFactory,
    PrintFormatFactory,
    TraineeFactory,
    TrialBrewFactory,
    UserFactory,
    ValveVersionFactory,
    published,
)
from tests.factories.packed import packed
from tests.factories.programs import issued, told
from tests.factories.questions import asked as question
from tests.factories.tastings import tasted

from . import matrix
from .matrix import METHODS, ROLES, SEES, may, rows

pytestmark = pytest.mark.django_db

FULL = os.environ.get("FULL_COUNTS") == "1"
POSTED = {
    "post": "yes", "seen": "0", "reason": "x", "waiver_reason": "x", "withdrawn_reason": "x", "recall_reason": "x",
    "note": "x", "publish_at": "2099-01-01T06:00", "language": "en", "copies": "1", "answer": "x", "shown": "x",
}  # fmt: skip


@pytest.fixture
def world(monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> dict[str, Any]:
    """A row of every table of the desk, so that a page that is open where it should not be has something to show."""
    caplog.set_level(logging.CRITICAL, "django.request")  # refusals by the thousand are what is asked for
    made = (
        (insert_button, "insert_pdf"),
        (papers, "kept_run"),
        (paper_sizes, "inserts_pdf"),
        (site_desk, "wall_sheet"),
    )
    drawn = ((test_sheets, "register_pdf"), (test_sheets, "outlines_pdf"))
    for module, name in (*made, *drawn):
        monkeypatch.setattr(module, name, lambda *_given: b"%PDF-")
    lot, version = packed(published(ValveVersionFactory()))
    draft = GuideVersionFactory()
    PackingRunFactory(bag=(lot, version), state="ready", file="runs/ab/abc.pdf")
    question(version)
    TrialBrewFactory(of=version, lot=lot)
    GrinderFactory()
    LabelStockFactory()
    PrintFormatFactory()
    Roastery.objects.create(name="Mossgull Roasting Room")
    JobRun.objects.create(kind="papers")
    GuideOpens.objects.create(guide=version.guide, day=lot.roasted_on, what=Opened.values[0], times=1)
    green = GreenLot.objects.create(name="G-1", mass_kg=60)
    Roast.objects.create(name="R-1", green_lot=green, roasted_on=lot.roasted_on, green_kg=12, roasted_kg=10)
    Dispatch.objects.create(lot=lot, outlet="shelf", bags=3, recorded_by=UserFactory())
    LotCheck.objects.create(bag_text="RW-1", insert_text="RW-1", answer="unknown", by=UserFactory())
    kept = {"name": "0" * 32, "sha256": "0" * 64, "width": 640, "height": 480, "widths": [640]}
    CoffeePicture.objects.create(coffee=lot.coffee, **kept)
    step = draft.steps.first()
    StepPicture.objects.create(step=step, **kept)
    StepClip.objects.create(step=step, file="clips/0.mp4", file_sha256="0" * 64, size=1, seconds=1, captions={}, **kept)
    tasting = tasted()
    site = TraineeFactory().site
    site.guides.add(version.guide)
    HomeBrew.objects.create(version=version, language="en", dose_g=16, grind_um=660, brewer="Cone", text="Good.")
    issued()
    told()
    first = {model._meta.model_name: model.objects.order_by("pk").first() for model in admin.site._registry}
    waiting = review.submit(draft, by=UserFactory(role="roaster"))
    return {
        **{name: row.pk for name, row in first.items() if row is not None},
        "lot": lot.pk, "lot_name": lot.name, "guide": version.guide_id, "guideversion": waiting.pk,
        "code": lots.code_of(lot),
        "guide_number": version.guide.number, "edition": f"{version.guide.number}.{version.revision}",
        "site_code": site.code, "tasting_token": tasting_addresses.token(tasting.number),
        "guide_slug": version.guide.slug, "coffee_slug": version.guide.coffee.slug,
    }  # fmt: skip


def visitor(role: str) -> Client:
    client = Client()
    if role != "anonymous":
        kind = {"superuser": {"is_superuser": True}, "customer": {"is_staff": False}}
        client.force_login(UserFactory(role=role if role in SEES else None, **kind.get(role, {})))
    return client


def answers(role: str, world: dict[str, Any], methods: tuple[str, ...]) -> Iterator[tuple[str, bool]]:
    """Ask for everything; give each request with its answer, and whether that is not for this role."""
    client = visitor(role)
    logged_in = client.cookies.copy()
    for address, area, page in [row for route in matrix.routes() for row in rows(route, world) or ()]:
        for method in methods:
            is_theirs, must_open = may(role, area, page, method), _must_open(role, area, page, method)
            if is_theirs and not (must_open or FULL):
                continue
            with transaction.atomic():
                answer = client.generic(method, address) if method != "POST" else client.post(address, POSTED)
                transaction.set_rollback(True)
            client.cookies = logged_in.copy()  # undone with the rest: logging out, and words said on the next page
            wrong = not _opened(answer) if must_open else not is_theirs and _let_in(answer, page, method)
            yield f"{role} {method} {address}: {answer.status_code}", wrong


def _must_open(role: str, area: str, page: str, method: str) -> bool:
    """Lists, to whoever may look: a desk that is shut to everybody would keep every other rule."""
    return method == "GET" and page == "" and area in SEES.get(role, ())


def _opened(answer: HttpResponse) -> bool:
    """A list, or the way on to the only row there can be."""
    return answer.status_code == 200 or answer.headers.get("Location", "").endswith("/change/")


def _let_in(answer: HttpResponse, page: str, method: str) -> bool:
    """A page, an act refused for another reason than who asks, or the way on from an act."""
    if 200 <= answer.status_code < 300 or answer.status_code in (409, 422):
        return True
    acts = page.startswith("act ") or page in matrix.WRITTEN or page == "pack"
    return method == "POST" and acts and answer.status_code == 302 and "/login/" not in answer.headers["Location"]


def test_every_address_has_its_rule(world: dict[str, Any]) -> None:
    assert [route for route in matrix.routes() if rows(route, world) is None] == []


def test_every_act_has_its_rule() -> None:
    acts = {model._meta.model_name: {act.name for act in getattr(desk, "acts", ())} for model, desk in _desk()}
    assert {area: names for area, names in acts.items() if names} == {k: set(v) for k, v in matrix.ACTS.items()}


def test_every_area_of_the_desk_has_a_row(world: dict[str, Any]) -> None:
    assert {model._meta.model_name for model, _desk in _desk()} <= set(world)


def _desk() -> list[tuple[Any, Any]]:
    return [(model, desk) for model, desk in admin.site._registry.items() if model._meta.app_label == "guides"]


def test_an_address_without_a_rule_is_noticed(world: dict[str, Any]) -> None:
    """Negative control."""
    assert rows("en/secrets/", world) is None
    assert rows("admin/guides/lot/secrets/", world) is None
    assert rows("admin/guides/lot/<path:object_id>/secrets/", world) is None


@pytest.mark.parametrize("role", ROLES)
def test_nobody_is_answered_what_is_not_for_them(role: str, world: dict[str, Any]) -> None:
    methods = METHODS if FULL or role in ("anonymous", "packer") else ("GET", "POST")
    asked = list(answers(role, world, methods))
    found = [answer for answer, wrong in asked if wrong]
    print(f"{role}: {len(asked)} requests, {len(found)} unexpected answers")
    assert found == []


@pytest.mark.parametrize("role", ["packer", "staff without a group"])
def test_with_permissions_off_the_matrix_finds_it(
    role: str, world: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Negative control: everybody at the desk may do everything."""
    monkeypatch.setattr(User, "has_perm", lambda self, perm, obj=None: True)
    assert any(wrong for _answer, wrong in answers(role, world, ("GET", "POST")))
