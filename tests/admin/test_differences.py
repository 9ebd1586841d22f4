"""The page that compares two versions, for whoever may look at them."""

from __future__ import annotations

import pytest
from django.urls import reverse

from guides.lifecycle.draft import open_next
from guides.models import GuideVersion
from tests.factories import GuideVersionFactory, UserFactory, published

from .addresses import change

pytestmark = pytest.mark.django_db


def page(version: GuideVersion, **choice: GuideVersion) -> str:
    chosen = "&".join(f"{name}={one.pk}" for name, one in choice.items())
    return reverse("admin:guides_guideversion_difference", args=[version.pk]) + (f"?{chosen}" if chosen else "")


@pytest.fixture
def two() -> tuple[GuideVersion, GuideVersion]:
    first = published()
    draft = open_next(first.guide, by=first.created_by)
    draft.kettle_c, draft.summary = "94.0", "Clear, floral and light."
    draft.save()
    return first, draft


def test_a_draft_is_compared_with_what_customers_have(at_desk, two, text_of):
    first, draft = two
    text = text_of(at_desk(role="reader").get(page(draft)))
    assert "From revision 1 to draft" in text
    assert "Kettle 97 °C → 94 °C −3 °C" in text.replace("\N{NO-BREAK SPACE}", " ")
    assert "[removed] . [end of removed]" in text or "[added]" in text
    assert f'href="{page(draft)}"' in at_desk().get(change(draft)).content.decode()
    assert 'href="' + page(draft) + '"' in at_desk().get(change(first.guide)).content.decode()


def test_any_two_can_be_chosen_in_either_order(at_desk, two, text_of):
    first, draft = two
    text = text_of(at_desk().get(page(first, old=draft, new=first)))
    assert "From draft to revision 1" in text
    assert "Kettle 94 °C → 97 °C +3 °C" in text.replace("\N{NO-BREAK SPACE}", " ")


def test_versions_of_another_guide_are_no_choice(at_desk, two):
    response = at_desk().get(page(two[0], old=published(), new=two[0]))
    assert response.context["form"].errors["old"]


def test_a_draft_with_an_impossible_number_is_said(at_desk, two, text_of):
    GuideVersion.objects.filter(pk=two[1].pk).update(dose_g="0.5")
    assert "cannot be compared" in text_of(at_desk().get(page(two[1])))


def test_a_first_version_has_nothing_before_it(at_desk, text_of):
    assert "nothing to compare it with yet" in text_of(at_desk().get(page(GuideVersionFactory())))


def test_only_for_those_who_may_look(at_desk, client, two):
    assert client.get(page(two[0])).status_code == 302
    assert at_desk(UserFactory()).get(page(two[0])).status_code == 403
    assert at_desk().get(page(two[0]).replace(str(two[0].pk), "999")).status_code == 404
