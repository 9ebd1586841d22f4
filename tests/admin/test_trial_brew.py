"""From a chosen trial brew to a draft: two clicks, nothing typed."""

from __future__ import annotations

import pytest

from guides.lifecycle import content
from guides.models import GuideVersion
from tests.factories import LotFactory, TrialBrewFactory, published

from .addresses import act, change

pytestmark = pytest.mark.django_db


def test_two_clicks_lead_to_a_draft_with_its_numbers(at_desk, roaster):
    desk, brew = at_desk(roaster), TrialBrewFactory(of=published(), water_g="272", grind_um=700)
    assert act(brew, "open-draft") in desk.get(change(brew)).content.decode()
    assert desk.get(act(brew, "open-draft")).status_code == 200
    response = desk.post(act(brew, "open-draft"), {})
    draft = GuideVersion.objects.get(state="draft")
    assert response.url == change(draft)
    assert (draft.water_g, draft.grind_um) == (272, 700)
    assert content.refusals(draft) == []


def test_a_brew_without_a_plan_asks_for_the_guide_and_proposes_one(at_desk, filled):
    version, desk = published(), at_desk()
    brew = TrialBrewFactory(lot=LotFactory(coffee=version.guide.coffee), version=None, brewer=version.brewer)
    form = desk.get(act(brew, "open-draft")).context["form"]
    assert form.initial.get("guide", form.fields["guide"].initial) == version.guide
    assert desk.post(act(brew, "open-draft"), {"guide": version.guide.pk}).status_code == 302
    assert GuideVersion.objects.get(state="draft").water_g == 264


def test_a_refusal_stands_on_the_page(at_desk, text_of):
    version = published()
    brew, desk = TrialBrewFactory(of=version), at_desk()
    desk.post(act(brew, "open-draft"), {})
    response = desk.post(act(brew, "open-draft"), {})
    assert response.status_code == 409
    assert "it has an open draft already" in text_of(response)


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_not_write_is_offered_none(at_desk, role):
    brew, desk = TrialBrewFactory(of=published()), at_desk(role=role)
    assert act(brew, "open-draft") not in desk.get(change(brew)).content.decode()
    assert desk.post(act(brew, "open-draft"), {}).status_code == 403
    assert not GuideVersion.objects.filter(state="draft").exists()
