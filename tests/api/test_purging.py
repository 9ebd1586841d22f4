"""What a change says to purge is exactly what lies in caches and shows something else: no more, no less."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from guides.lifecycle import recall, withdraw
from guides.models import Coffee, Guide, GuideVersion, Lot
from guides.presenters import addresses
from tests.public import world

pytestmark = pytest.mark.django_db

Seen = dict[str, tuple[int, bytes]]


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as traveller:
        yield traveller


@pytest.fixture
def shop(clock: time_machine.Traveller) -> tuple[Lot, str, GuideVersion]:
    """Two coffees; the first has two guides, one of them on a bag."""
    world.roastery()
    world.coffee_with_guide(title="Of another coffee")
    lot, code = world.bag()
    version = world.guide_for(lot, title="The one that changes")
    world.published(guide=world.GuideFactory(coffee=lot.coffee), title="Its neighbour")
    return lot, code, version


def kept_on_the_way() -> Seen:
    """Every page that says that it may be kept, by its whole address."""
    named = [("home", ""), ("feed", ""), ("numbers", ""), ("constants", "")]
    named += [("coffee", slug) for slug in Coffee.objects.values_list("slug", flat=True)]
    pages = ("guide", "guide_card", "screen", "brew")
    named += [(name, slug) for slug in Guide.objects.values_list("slug", flat=True) for name in pages]
    paths = [reverse("sitemap")]
    for language in world.LANGUAGES:
        with override(language):
            paths += [reverse(name, args=[slug] if slug else []) for name, slug in named]
    answers = {addresses.absolute(path): Client().get(path) for path in paths}
    return {
        address: (answer.status_code, answer.content)
        for address, answer in answers.items()
        if "max-age" in answer.headers.get("Cache-Control", "")
    }


def changed(before: Seen, clock: time_machine.Traveller) -> set[str]:
    clock.shift(datetime.timedelta(minutes=5))
    after = kept_on_the_way()
    return {address for address, page in before.items() if after.get(address) != page}


def told(clock: time_machine.Traveller) -> dict[str, object]:
    return dict(Client().get("/api/v1/changes").json()["items"][-1])


def test_a_new_revision_purges_what_it_changes_and_nothing_else(shop, clock) -> None:
    _lot, _code, version = shop
    before = kept_on_the_way()
    clock.shift(datetime.timedelta(minutes=5))
    world.next_revision(version, title="Changed", kettle_c="96.0")
    wanted = changed(before, clock)
    assert set(told(clock)["purge"]) == wanted  # type: ignore[call-overload]
    assert len(wanted) == 6 * len(world.LANGUAGES) + 1
    assert not any("neighbour" in page or "numbers" in page for page in wanted)


def test_a_withdrawn_guide_is_purged_everywhere(shop, clock) -> None:
    _lot, _code, version = shop
    before = kept_on_the_way()
    clock.shift(datetime.timedelta(minutes=5))
    withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    assert changed(before, clock) <= set(told(clock)["purge"])  # type: ignore[call-overload]
    assert told(clock)["type"] == "guide.withdrawn"


def test_what_lies_behind_a_code_is_kept_nowhere_so_a_recall_purges_nothing(shop, clock) -> None:
    lot, code, version = shop
    before = kept_on_the_way()
    for path in (f"/L/{code}", f"/L/{code}/{version.guide.number}.1.EN", f"/L/{code}/{version.guide.number}.1.EN/brew"):
        assert Client().get(path).headers["Cache-Control"] == "no-cache"
    recall.recall(lot, by=world.boss(), reason="A screw may be in it.")
    assert changed(before, clock) == set()
    assert (told(clock)["type"], told(clock)["purge"]) == ("lot.recalled", [])
