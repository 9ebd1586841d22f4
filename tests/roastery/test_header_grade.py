"""The headers of every kind of answer, graded as ``observed.py`` says: A+ on each, and less without any one of them."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

from .observed import grade, points

PROBE = """
import json
import django
from django.conf import settings
settings.STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
django.setup()
from django.test import Client
from tests.factories import UserFactory
from tests.factories.shown import coffee_picture
from guides.models.kept_picture import picture_name
from tests.public import world

world.roastery()
lot, code = world.bag(coffee__gtin="09506000134352")
version = world.guide_for(lot)
kept = coffee_picture(lot.coffee)
slug, edition = version.guide.slug, f"{version.guide.number}.1.EN"
anybody, boss = Client(), Client()
boss.force_login(UserFactory(is_superuser=True))
pages = {
    "home": "/en/", "coffee": f"/en/coffees/{lot.coffee.slug}/", "guide": f"/en/guides/{slug}/",
    "guide made one's own": f"/en/guides/{slug}/?dose=20", "brewing": f"/en/guides/{slug}/brew/",
    "large": f"/en/guides/{slug}/screen/", "bag": f"/L/{code}", "insert": f"/L/{code}/{edition}",
    "unknown code": "/L/00000000", "unknown address": "/nowhere", "question": f"/en/ask/{edition[:-3]}/1/",
    "taste": "/en/taste/", "numbers": "/en/numbers/", "constants": "/en/numbers/constants/",
    "API explained": "/en/api/", "log-in": "/admin/login/", "card": f"/en/guides/{slug}/card/",
}
others = {
    "API": "/api/v1/guides", "API's description": "/api/v1/openapi.json", "unknown in the API": "/api/v1/nothing",
    "map": "/sitemap.xml", "feed": "/en/new.xml", "robots": "/robots.txt", "offline worker": "/sw.js",
    "manifest": "/manifest.webmanifest", "pack": f"/01/09506000134352/10/{lot.name}", "oEmbed": "/oembed?url=x",
    "picture": "/" + picture_name(kept.name, kept.widths[0], "webp"), "live": "/health/live",
}
desk = {
    "desk": "/admin/", "list": "/admin/guides/lot/", "form": f"/admin/guides/lot/{lot.pk}/change/",
    "draft's list": "/admin/guides/guideversion/", "register": "/admin/register/", "condition": "/admin/condition/",
    "second factor": "/admin/second-factor/", "forbidden": "/admin/guides/nothing/",
}
found = {}
for client, kinds, page in ((anybody, pages, True), (anybody, others, False), (boss, desk, True)):
    for name, path in kinds.items():
        answer = client.get(path, secure=True, headers={"host": "guides.example"})
        cookies = [morsel.OutputString() for morsel in answer.cookies.values()]
        headers = {header.lower(): value for header, value in answer.headers.items()}
        found[name] = {"status": answer.status_code, "headers": headers, "cookies": cookies, "page": page}
print(json.dumps(found))
"""
LESS = {"card": {"x-frame-options"}, "live": {"strict-transport-security"}}
"""Given up on purpose: the card stands in pages of other sites, and health is asked by number, without https."""
SHARED = {"picture", "card"}
"""Meant for pages of other sites."""


@pytest.fixture(scope="module")
def answers(site: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict]:
    """Every kind of answer, from a site with a real one's settings."""
    folder = tmp_path_factory.mktemp("graded") / "site"
    shutil.copytree(Path(site["DATA_DIR"]), folder)
    environment = {
        "PATH": os.environ["PATH"],
        "DJANGO_SETTINGS_MODULE": "roastery.settings",
        "SECRET_KEY": "k3y-" * 20,
        "PUBLIC_BASE_URL": "https://guides.example",
        "PROXY_DEPTH": "0",
        "DATA_DIR": str(folder),
    }
    done = subprocess.run(
        [sys.executable, "-c", PROBE],
        cwd=settings.BASE_DIR,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout.splitlines()[-1]))


def _points(answer: dict) -> dict[str, int]:
    return points(answer["headers"], cookies=tuple(answer["cookies"]), page=answer["page"])


def test_every_kind_of_answer_is_graded_a_plus(answers: dict[str, dict]) -> None:
    assert {name for name, answer in answers.items() if answer["status"] >= 500} == set()
    assert answers["bag"]["status"] == answers["form"]["status"] == answers["picture"]["status"] == 200
    graded = {name: grade(_points(answer)) for name, answer in answers.items()}
    print(", ".join(f"{name} {score} {letter}" for name, (score, letter) in graded.items()))
    assert {name for name, (_score, letter) in graded.items() if letter != "A+"} == set(LESS)
    for name, given_up in LESS.items():
        assert {header for header, value in _points(answers[name]).items() if value < 0} == given_up


def test_only_what_other_sites_may_show_gives_up_resource_policy(answers: dict[str, dict]) -> None:
    given = {
        name for name, one in answers.items() if one["headers"].get("cross-origin-resource-policy") != "same-origin"
    }
    assert given == SHARED


@pytest.mark.parametrize("header", ["content-security-policy", "strict-transport-security", "x-content-type-options"])
def test_control_without_one_of_them_the_grade_falls(answers: dict[str, dict], header: str) -> None:
    whole = answers["bag"]
    less = {**whole, "headers": {name: value for name, value in whole["headers"].items() if name != header}}
    assert grade(_points(less))[0] < grade(_points(whole))[0]
    assert grade(points({})) == (30, "D")
    unsafe = {**whole["headers"], "content-security-policy": "default-src 'self' 'unsafe-inline'"}
    assert grade(points(unsafe))[1] not in ("A+", "A")
