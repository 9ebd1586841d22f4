"""Retiring: every published revision withdrawn, and two guides made one."""

from __future__ import annotations

import pytest

from guides.choices import Follow, State
from guides.lifecycle.assign import assign, hold
from guides.lifecycle.draft import open_next
from guides.lifecycle.recall import recall
from guides.lifecycle.retire import retire
from guides.models import Assignment, Guide, GuideVersion, User
from guides.queries import versions
from tests.factories import GuideFactory, GuideVersionFactory, LotFactory, published

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db


@pytest.fixture
def other(printed: GuideVersion) -> Guide:
    return published(guide=GuideFactory(coffee=printed.guide.coffee)).guide


def test_every_published_revision_is_withdrawn_and_the_next_brings_it_back(
    printed: GuideVersion, publisher: User
) -> None:
    newer = published(open_next(printed.guide, by=publisher))
    retire(printed.guide, by=publisher, reason="We sell it no more.")
    rows = GuideVersion.objects.filter(guide=printed.guide).order_by("revision")
    assert [(row.state, row.withdrawn_reason) for row in rows] == [(State.WITHDRAWN, "We sell it no more.")] * 2
    assert verbs(newer)[-1] == "withdrawn"
    assert versions.current(printed.guide) is None
    again = published(open_next(printed.guide, by=publisher))
    assert versions.current(printed.guide) == again


def test_lots_go_over_to_the_guide_that_is_used_instead(printed: GuideVersion, publisher: User, other: Guide) -> None:
    coffee = printed.guide.coffee
    follows, pinned, both, held, recalled = LotFactory.create_batch(5, coffee=coffee)
    for lot in (follows, both, recalled):
        assign(lot, printed.guide, by=publisher)
    assign(pinned, printed.guide, by=publisher, pinned=printed)
    assign(both, other, by=publisher)
    hold(assign(held, printed.guide, by=publisher), by=publisher, reason="Drains late.")
    recall(recalled, by=publisher, reason="A screw may be in it.")
    retire(printed.guide, by=publisher, reason="Two were one.", replacement=other)
    rows = Assignment.objects.filter(lot__coffee=coffee)
    assert {(row.lot, row.guide, row.follow) for row in rows} == {
        (follows, other, Follow.NEWEST),
        (pinned, other, Follow.NEWEST),
        (both, other, Follow.NEWEST),
        (held, printed.guide, Follow.HELD),
        (recalled, printed.guide, Follow.NEWEST),
    }
    printed.refresh_from_db()
    assert printed.replacement == other


def test_what_cannot_be_is_refused_and_nothing_is_changed(printed: GuideVersion, publisher: User) -> None:
    draft = GuideVersionFactory(guide=GuideFactory(coffee=printed.guide.coffee))
    elsewhere = published().guide
    with refused("nothing to retire"):
        retire(draft.guide, by=publisher, reason="Old.")
    with refused("Reason: say why", "withdrawn_reason"):
        retire(printed.guide, by=publisher, reason=" ")
    for wrong in (printed.guide, elsewhere):
        with refused("choose another guide of", "replacement"):
            retire(printed.guide, by=publisher, reason="Old.", replacement=wrong)
    with refused("Publish it first", "replacement"):
        retire(printed.guide, by=publisher, reason="Old.", replacement=draft.guide)
    printed.refresh_from_db()
    assert printed.state == State.PUBLISHED
