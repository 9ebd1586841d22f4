"""The buttons: each calls one act of the lifecycle, and a refusal loses nothing."""

from __future__ import annotations

import pytest
from django.test import Client

from guides.lifecycle.assign import assign
from guides.models import Event, GuideVersion
from tests.factories import GuideFactory, GuideVersionFactory, LotFactory, TrialBrewFactory, UserFactory, published

from .addresses import act, change

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def _do(desk: Client, version: GuideVersion, name: str, **data: str):
    seen = {"seen": str(version.edit_number)}
    return desk.post(act(version, name), seen | data)


def _verbs(version: GuideVersion) -> list[str]:
    return list(Event.objects.filter(version_id=version.pk).order_by("pk").values_list("verb", flat=True))


def test_a_draft_goes_through_review_to_publication(at_desk, draft, publisher):
    roaster = at_desk(draft.created_by)
    assert _do(roaster, draft, "submit", note="New crop.").status_code == 302
    draft.refresh_from_db()
    assert (draft.state, draft.submitted_by) == ("in_review", draft.created_by)

    TrialBrewFactory(of=draft, check=True, brewed_by=publisher)
    assert _do(at_desk(publisher), draft, "publish").status_code == 302
    draft.refresh_from_db()
    assert (draft.state, draft.revision, draft.published_by) == ("published", 1, publisher)
    assert _verbs(draft) == ["submitted", "published"]


def test_publishing_without_a_check_brew_asks_why_and_keeps_what_was_typed(at_desk, draft, publisher, text_of):
    _do(at_desk(draft.created_by), draft, "submit")
    desk = at_desk(publisher)
    assert "No check brew" in text_of(desk.get(act(draft, "publish")))
    response = _do(desk, draft, "publish")
    assert response.status_code == 409
    assert "No check brew" in response.context["form"].errors["waiver_reason"][0]

    assert _do(desk, draft, "publish", waiver_reason="Brewed it at the bench.").status_code == 302
    draft.refresh_from_db()
    assert (draft.state, draft.waiver_reason) == ("published", "Brewed it at the bench.")


def test_sending_back_needs_a_reason(at_desk, draft, publisher):
    _do(at_desk(draft.created_by), draft, "submit")
    desk = at_desk(publisher)
    response = _do(desk, draft, "send-back")
    assert "say why" in response.context["form"].errors["reason"][0]
    assert _do(desk, draft, "send-back", reason="Step 3 does not say how far to stir.").status_code == 302
    draft.refresh_from_db()
    assert draft.state == "draft"
    assert Event.objects.get(verb="returned").reason == "Step 3 does not say how far to stir."


def test_withdrawing_names_a_reason_and_a_replacement(at_desk, printed, publisher):
    other = GuideFactory(coffee=printed.guide.coffee)
    desk = at_desk(publisher)
    response = _do(desk, printed, "withdraw", replacement=str(other.pk))
    assert "say why" in response.context["form"].errors["withdrawn_reason"][0]
    assert f'<option value="{other.pk}" selected>' in response.content.decode()
    assert _do(desk, printed, "withdraw", withdrawn_reason="Drains late.", replacement=str(other.pk)).status_code == 302
    printed.refresh_from_db()
    assert (printed.state, printed.withdrawn_reason, printed.replacement) == ("withdrawn", "Drains late.", other)


def test_the_next_draft_opens_from_the_published_one(at_desk, printed, roaster):
    response = _do(at_desk(roaster), printed, "open-next")
    draft = GuideVersion.objects.get(guide=printed.guide, state="draft")
    assert response.url == change(draft)
    assert draft.steps.count() == printed.steps.count()


def test_a_refused_submission_leads_to_the_field_that_is_wrong(at_desk):
    draft = GuideVersionFactory(water_g="260.0")
    response = _do(at_desk(draft.created_by), draft, "submit", note="Please hurry.")
    page = response.content.decode()
    assert response.status_code == 409
    assert f'href="{change(draft)}#id_steps-3-target_g"' in page
    assert "Please hurry." in page
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_the_button_on_a_draft_saves_what_is_typed_first(at_desk, draft, filled):
    desk = at_desk(draft.created_by)
    response = desk.post(change(draft), filled(desk, change(draft)) | {"title": "Just typed", "_then": "submit"})
    assert response.url == act(draft, "submit")
    draft.refresh_from_db()
    assert (draft.title, draft.state) == ("Just typed", "draft")


def test_a_draft_saved_by_somebody_else_is_read_again_before_it_is_submitted(at_desk, draft, filled):
    first, second = at_desk(draft.created_by), at_desk()
    second.post(change(draft), filled(second, change(draft)) | {"title": "Changed meanwhile"})
    response = _do(first, draft, "submit")
    assert response.status_code == 409
    assert "Read it again first" in response.content.decode()
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_retiring_a_guide_says_what_it_reaches_and_lets_two_become_one(at_desk, printed, publisher):
    desk, other = at_desk(publisher), published(guide=GuideFactory(coffee=printed.guide.coffee))
    lot = LotFactory(coffee=printed.guide.coffee)
    assign(lot, printed.guide, by=publisher)
    page = desk.get(act(printed.guide, "retire")).content.decode()
    assert "1 published revision is withdrawn." in page
    assert f"On the bags of: {lot.name}." in page
    sent = {"withdrawn_reason": "Two were one.", "replacement": str(other.guide.pk)}
    assert desk.post(act(printed.guide, "retire"), sent).status_code == 302
    assert [row.guide for row in lot.assignments.all()] == [other.guide]
    assert "Retire this guide" not in desk.get(change(printed.guide)).content.decode()


@pytest.mark.parametrize("name", ["submit", "send-back", "publish", "withdraw", "open-next"])
def test_looking_at_a_page_does_nothing(at_desk, draft, printed, publisher, name):
    desk = at_desk(publisher)
    before = list(GuideVersion.objects.order_by("pk").values())
    for version in (draft, printed):
        assert desk.get(act(version, name)).status_code in (200, 302)
    assert list(GuideVersion.objects.order_by("pk").values()) == before


@pytest.mark.parametrize("name", ["publish", "withdraw", "nonsense"])
def test_a_crafted_act_that_does_not_fit_is_refused(at_desk, draft, publisher, name):
    response = _do(at_desk(publisher), draft, name, withdrawn_reason="Because.", waiver_reason="Because.")
    assert response.status_code == (404 if name == "nonsense" else 409)
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_history_shows_every_act_with_who_and_why(at_desk, printed, publisher, text_of):
    _do(at_desk(publisher), printed, "withdraw", withdrawn_reason="Drains late.")
    page = text_of(at_desk(publisher).get(change(printed).replace("change", "history")))
    for words in ("submitted for review", "published, revision 1", "withdrew Drains late.", publisher.display_name):
        assert words in page, words


def test_a_writer_who_publishes_too_must_say_why_they_do_it_alone(at_desk, publisher):
    draft = GuideVersionFactory(created_by=publisher)
    desk = at_desk(publisher)
    _do(desk, draft, "submit")
    TrialBrewFactory(of=draft, check=True, brewed_by=UserFactory(role="roaster"))
    response = _do(desk, draft, "publish")
    assert "You wrote or submitted this guide" in response.context["form"].errors["waiver_reason"][0]


def test_a_coffees_history_tells_what_was_done_to_its_guides(at_desk, printed, publisher, text_of):
    _do(at_desk(publisher), printed, "withdraw", withdrawn_reason="Drains late.")
    page = text_of(at_desk(publisher).get(change(printed.guide.coffee).replace("change", "history")))
    assert "withdrew Drains late." in page
