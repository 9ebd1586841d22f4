"""What is printed on bags cannot be changed at the desk, however the request is made."""

from __future__ import annotations

from unittest.mock import patch

import pytest

from guides.admin import mixins
from guides.lifecycle import review
from guides.models import GuideVersion, Step
from tests.factories import UserFactory

from .addresses import change

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def _everything() -> list:
    return [list(GuideVersion.objects.order_by("pk").values()), list(Step.objects.order_by("pk").values())]


@pytest.fixture
def chief():
    """Somebody whom no permission stops."""
    return UserFactory(is_superuser=True)


def test_a_published_version_is_shown_with_the_reason_and_no_field(at_desk, printed, publisher, filled, text_of):
    desk = at_desk(publisher)
    page = text_of(desk.get(change(printed)))
    assert "Published as revision 1 on" in page
    assert "printed on bags, so it stays" in page
    assert "open the next draft" in page
    assert "0:45–1:00" in page
    hidden = ("csrfmiddlewaretoken", "edit_number", "-id", "-version", "_FORMS")
    assert [name for name in filled(desk, change(printed)) if not name.endswith(hidden)] == []


def test_a_withdrawn_version_says_why(at_desk, printed, publisher, text_of):
    from guides.lifecycle import withdraw

    withdraw.withdraw(printed, by=publisher, reason="Drains late with the new crop.")
    page = text_of(at_desk(publisher).get(change(printed)))
    assert "Drains late with the new crop." in page


def test_a_version_in_review_is_left_alone_until_it_comes_back(at_desk, draft, text_of):
    review.submit(draft, by=draft.created_by)
    page = text_of(at_desk(draft.created_by).get(change(draft)))
    assert "nobody changes it under the reviewer's hands" in page


@pytest.mark.parametrize("state", ["published", "in_review"])
def test_a_form_that_comes_too_late_changes_nothing_and_gives_every_word_back(
    at_desk, draft, filled, chief, state, text_of
):
    from tests.factories import published

    desk = at_desk(chief)
    fields = filled(desk, change(draft)) | {"title": "Typed for an hour", "steps-0-why": "Because of the gas."}
    published(draft) if state == "published" else review.submit(draft, by=draft.created_by)
    before = _everything()
    response = desk.post(change(draft), fields)
    assert response.status_code == 409
    assert _everything() == before
    page = text_of(response)
    assert "Typed for an hour" in page
    assert "Step 1: why Because of the gas." in page


def test_a_crafted_form_changes_nothing(at_desk, printed, chief):
    desk, step, before = at_desk(chief), printed.steps.first(), _everything()
    fields = {
        "title": "Changed", "dose_g": "99", "state": "draft", "edit_number": "0", "steps-TOTAL_FORMS": "2",
        "steps-INITIAL_FORMS": "1", "steps-0-id": str(step.pk), "steps-0-version": str(printed.pk),
        "steps-0-start_s": "0", "steps-0-end_s": "99", "steps-0-DELETE": "on", "steps-1-action": "stir",
        "steps-1-start_s": "5", "steps-1-end_s": "6", "steps-1-version": str(printed.pk),
    }  # fmt: skip
    assert desk.post(change(printed), fields).status_code == 409
    assert _everything() == before


def test_a_published_version_cannot_be_deleted(at_desk, printed, chief):
    desk = at_desk(chief)
    address = change(printed).replace("change", "delete")
    assert desk.get(address).status_code == 403
    assert desk.post(address, {"post": "yes"}).status_code == 403
    assert GuideVersion.objects.filter(pk=printed.pk).exists()


def test_no_list_offers_an_act_on_many_rows(at_desk, printed, chief):
    desk = at_desk(chief)
    for model in ("guideversion", "guide", "lot", "event", "address", "coffee"):
        listing = f"/admin/guides/{model}/"
        assert 'name="action"' not in desk.get(listing).content.decode()
        desk.post(listing, {"action": "delete_selected", "_selected_action": str(printed.pk), "post": "yes"})
    assert GuideVersion.objects.filter(pk=printed.pk).exists()


def test_a_draft_can_be_deleted_by_its_writer(at_desk, draft):
    desk = at_desk(draft.created_by)
    assert desk.post(change(draft).replace("change", "delete"), {"post": "yes"}).status_code == 302
    assert not GuideVersion.objects.filter(pk=draft.pk).exists()


def test_without_the_lock_the_desk_would_try(at_desk, draft, filled, chief):
    """Negative control: it is the desk's lock that stops the form before the model and the database do."""
    desk = at_desk(chief)
    fields = filled(desk, change(draft)) | {"title": "Changed in review"}
    review.submit(draft, by=draft.created_by)
    with (
        patch.object(mixins, "locked_reason", lambda version: ""),
        patch("guides.admin.step_inline.locked_reason", lambda version: ""),
    ):
        assert desk.post(change(draft), fields).status_code == 302
    draft.refresh_from_db()
    assert draft.title == "Changed in review"
