"""Lists answer the questions a roaster asks, in as many queries for many rows as for one."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from guides.lifecycle import assign, lots, review
from guides.models import Guide
from tests.factories import (
    GuideFactory,
    GuideVersionFactory,
    LotFactory,
    published,
)

pytestmark = pytest.mark.django_db


def _listed(desk, address: str) -> set:
    return set(desk.get(address).context["cl"].queryset)


def test_guides_by_where_they_stand(at_desk, publisher):
    draft, waiting, out = GuideVersionFactory(), GuideVersionFactory(), published()
    review.submit(waiting, by=waiting.created_by)
    unwritten = GuideFactory()
    desk = at_desk(publisher)
    assert _listed(desk, "/admin/guides/guide/?stands=review") == {waiting.guide}
    assert _listed(desk, "/admin/guides/guide/?stands=draft") == {draft.guide}
    assert _listed(desk, "/admin/guides/guide/?stands=published") == {out.guide}
    assert _listed(desk, "/admin/guides/guide/?stands=unpublished") == {draft.guide, waiting.guide, unwritten}
    assert _listed(desk, "/admin/guides/guide/?stands=nonsense") == set(Guide.objects.all())


def test_lots_without_a_guide_and_recalled_ones(at_desk, roaster, publisher):
    from guides.lifecycle import recall

    version = published()
    served, held, bare, gone = (LotFactory(coffee=version.guide.coffee) for _ in range(4))
    for lot in (served, held):
        assign.assign(lot, version.guide, by=roaster)
    assign.hold(held.assignments.get(), by=roaster, reason="Drains late.")
    recall.recall(gone, by=publisher, reason="A screw may be in it.")
    desk = at_desk(roaster)
    assert _listed(desk, "/admin/guides/lot/?guides=none") == {held, bare, gone}
    assert _listed(desk, "/admin/guides/lot/?guides=held") == {held}
    assert _listed(desk, "/admin/guides/lot/?guides=some") == {served}
    assert _listed(desk, "/admin/guides/lot/?recalled=yes") == {gone}
    assert _listed(desk, "/admin/guides/guide/?lots=none") == set()


def test_a_lot_is_found_by_the_code_on_a_bag(at_desk, roaster):
    lot = lots.register(LotFactory.build(coffee=GuideFactory().coffee), by=roaster)
    LotFactory()
    assert _listed(at_desk(roaster), f"/admin/guides/lot/?q={lot.addresses.get().code.lower()}") == {lot}


def test_many_steps_cost_no_more_queries_than_few(at_desk, draft):
    desk = at_desk()
    short = GuideVersionFactory(steps=({"start_s": 0, "end_s": 30, "target_g": 264},))
    counts = []
    desk.get(f"/admin/guides/guideversion/{short.pk}/change/")  # content types are looked up once and kept
    for version in (short, draft):
        with CaptureQueriesContext(connection) as captured:
            desk.get(f"/admin/guides/guideversion/{version.pk}/change/")
        counts.append(len(captured))
    assert counts[0] == counts[1]
