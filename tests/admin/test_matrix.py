"""Every address of the site × every role × every method: nobody gets an answer that is not for them.

A plain run reads and posts as everybody and speaks all seven methods as two; ``FULL_COUNTS=1`` speaks all as everybody.
"""

from __future__ import annotations

import os
from typing import Any

import pytest
from django.apps import apps
from django.contrib import admin
from django.db import transaction
from django.http import HttpResponse
from django.test import Client

from guides.admin import insert_button
from guides.choices import Opened
from guides.documents import papers
from guides.lifecycle import review
from guides.models import GreenLot, GuideOpens, JobRun, Roast, Roastery, User
from guides.queries import lots
from tests.factories import (
    GrinderFactory,
    GuideVersionFactory,
    PackingRunFactory,
    TrialBrewFactory,
    UserFactory,
    ValveVersionFactory,
    published,
)
from tests.factories.packed import packed
from tests.factories.questions import asked as question

from . import matrix
from .matrix import METHODS, PAGES, ROLES, SEES, may, rows

pytestmark = pytest.mark.django_db

FULL = os.environ.get("FULL_COUNTS") == "1"
POSTED = {
    "post": "yes", "seen": "0", "reason": "x", "waiver_reason": "x", "withdrawn_reason": "x", "recall_reason": "x",
    "note": "x", "publish_at": "2099-01-01T06:00", "language": "en", "copies": "1", "answer": "x", "shown": "x",
}  # fmt: skip


@pytest.fixture
def world(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """A row of every table of the desk, so that a page that is open where it should not be has something to show."""
    for module, name in ((insert_button, "insert_pdf"), (papers, "kept_run")):
        monkeypatch.setattr(module, name, lambda *_given: b"%PDF-")
    lot, version = packed(published(ValveVersionFactory()))
    waiting = review.submit(GuideVersionFactory(), by=UserFactory(role="roaster"))
    PackingRunFactory(bag=(lot, version), state="ready", file="runs/ab/abc.pdf")
    question(version)
    TrialBrewFactory(of=version, lot=lot)
    GrinderFactory()
    Roastery.objects.create(name="Mossgull Roasting Room")
    JobRun.objects.create(kind="papers")
    GuideOpens.objects.create(guide=version.guide, day=lot.roasted_on, what=Opened.values[0], times=1)
    green = GreenLot.objects.create(name="G-1", mass_kg=60)
    Roast.objects.create(name="R-1", green_lot=green, roasted_on=lot.roasted_on, green_kg=12, roasted_kg=10)
    first = {model._meta.model_name: model.objects.order_by("pk").first() for model in admin.site._registry}
    return {
        **{name: row.pk for name, row in first.items() if row is not None},
        "lot": lot.pk, "guide": version.guide_id, "guideversion": waiting.pk, "code": lots.code_of(lot),
        "guide_number": version.guide.number, "edition": f"{version.guide.number}.{version.revision}",
        "guide_slug": version.guide.slug, "coffee_slug": version.guide.coffee.slug,
    }  # fmt: skip


def visitor(role: str) -> Client:
    client = Client()
    if role != "anonymous":
        kind = {"superuser": {"is_superuser": True}, "customer": {"is_staff": False}}
        client.force_login(UserFactory(role=role if role in SEES else None, **kind.get(role, {})))
    return client


def unexpected(role: str, world: dict[str, Any], methods: tuple[str, ...]) -> tuple[int, list[str]]:
    """Ask for everything; give how much was asked and what was answered though it is not for this role."""
    client, asked, found = visitor(role), 0, []
    logged_in = client.cookies.copy()
    for address, area, page in [row for route in matrix.routes() for row in rows(route, world) or ()]:
        for method in methods:
            with transaction.atomic():
                answer = client.generic(method, address) if method != "POST" else client.post(address, POSTED)
                transaction.set_rollback(True)
            client.cookies = logged_in.copy()  # undone with the rest: logging out, and words said on the next page
            asked += 1
            if _let_in(answer, page, method) and not may(role, area, page, method):
                found.append(f"{role} {method} {address}: {answer.status_code}")
            if method == "GET" and page == "" and area in SEES.get(role, ()) and answer.status_code != 200:
                found.append(f"{role} may look at {address}: {answer.status_code}")
    return asked, found


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
    return [(model, desk) for model, desk in admin.site._registry.items() if model in apps.get_app_config("guides").get_models()]


def test_an_address_without_a_rule_is_noticed(world: dict[str, Any]) -> None:
    """Negative control."""
    assert rows("en/secrets/", world) is None
    assert rows("admin/guides/lot/secrets/", world) is None
    assert rows("admin/guides/lot/<path:object_id>/secrets/", world) is None


@pytest.mark.parametrize("role", ROLES)
def test_nobody_is_answered_what_is_not_for_them(role: str, world: dict[str, Any]) -> None:
    asked, found = unexpected(role, world, METHODS if FULL or role in ("anonymous", "packer") else ("GET", "POST"))
    print(f"{role}: {asked} requests, {len(found)} unexpected answers")
    assert found == []


@pytest.mark.parametrize("role", ["packer", "staff without a group"])
def test_with_permissions_off_the_matrix_finds_it(
    role: str, world: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Negative control: everybody at the desk may do everything."""
    monkeypatch.setattr(User, "has_perm", lambda self, perm, obj=None: True)
    assert unexpected(role, world, ("GET",))[1]
