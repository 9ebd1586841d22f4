"""A second pair of eyes: the reviewer's page, the brew logged from it, comments at steps, approval, a time."""

from __future__ import annotations

import datetime
import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from guides.jobs import due
from guides.lifecycle import approve, review
from guides.lifecycle.draft import open_next
from guides.models import GuideVersion, ReviewComment, TrialBrew, User, VersionText
from tests.factories import GuideVersionFactory, LotFactory, TrialBrewFactory, UserFactory, published

from .addresses import act, change

pytestmark = pytest.mark.django_db


def review_page(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_review", args=[version.pk])


@pytest.fixture
def waiting() -> GuideVersion:
    """The second version of a guide, hotter, in review with a note."""
    first = published(GuideVersionFactory())
    LotFactory(coffee=first.guide.coffee)
    draft = open_next(first.guide, by=first.created_by)
    draft.kettle_c = "98.0"
    draft.save()
    return review.submit(draft, by=first.created_by, note="Watch when it has drained.")


def test_the_reviewer_sees_note_difference_check_and_page_and_no_field(at_desk, waiting, publisher, text_of):
    response = at_desk(publisher).get(review_page(waiting))
    text, html = text_of(response).replace("\N{NO-BREAK SPACE}", " "), response.content.decode()
    for words in (
        "Watch when it has drained.",
        "Kettle 97 °C → 98 °C",
        "The plan holds: nothing in it stands against publishing",
        "Nobody has logged a check brew",
    ):
        assert words in text, words
    assert change(waiting).replace("change", "preview") in html
    assert not re.search(r"<(input|select|textarea)\b(?![^>]*(csrf|hidden))", html.split('id="content"')[1])


def test_a_check_brew_is_logged_with_nothing_typed_again(at_desk, waiting, publisher, filled):
    desk = at_desk(publisher)
    (link,) = re.findall(r'href="([^"]*/trialbrew/add/\?[^"]*)"', desk.get(review_page(waiting)).content.decode())
    fields = filled(desk, unescape(link))
    response = desk.post("/admin/guides/trialbrew/add/", fields | {"_save": "Save"})
    assert response.status_code == 302, response.context["adminform"].form.errors
    assert response.url == review_page(waiting)
    brew = TrialBrew.objects.get()
    assert (brew.version, brew.is_check_brew, brew.brewed_by) == (waiting, True, publisher)
    assert (float(brew.kettle_c), brew.grind_um, brew.brewer) == (98.0, 660, waiting.brewer)
    assert approve.approval_refusals(waiting, publisher) == []


def test_a_version_that_is_not_in_review_has_nothing_to_review(at_desk, draft):
    assert at_desk().get(review_page(draft)).url == change(draft)


def test_who_may_not_log_brews_is_not_led_there(at_desk, waiting):
    assert "trialbrew/add" not in at_desk(role="reader").get(review_page(waiting)).content.decode()


def test_returned_with_comments_each_stands_at_its_step_and_is_marked_done(
    at_desk, waiting, publisher, filled, text_of
):
    desk = at_desk(publisher)
    answer = desk.post(act(waiting, "send-back"), {"reason": "", "step_2": "How far is the kettle from the water?"})
    assert answer.status_code == 302
    comment = ReviewComment.objects.get()
    writer = at_desk(waiting.created_by)
    html = writer.get(change(waiting)).content.decode()
    assert html.count("How far is the kettle from the water?") == 2  # above the form, and at the step
    assert html.index('id="steps-2"') < html.rindex("How far is the kettle") < html.index('id="steps-3"')

    typed = filled(writer, change(waiting)) | {"title": "Mended", "_then": f"done-{comment.pk}"}
    assert writer.post(change(waiting), typed).url == change(waiting)
    waiting.refresh_from_db()
    comment.refresh_from_db()
    assert (waiting.title, comment.resolved_by) == ("Mended", waiting.created_by)
    assert "done by" in text_of(writer.get(change(waiting)))


def test_nothing_is_returned_without_a_word(at_desk, waiting, publisher):
    response = at_desk(publisher).post(act(waiting, "send-back"), {"step_1": "  "})
    assert "say why" in response.context["form"].errors["reason"][0]


def test_approved_then_published_at_a_time(at_desk, waiting, publisher, text_of):
    TrialBrewFactory(of=waiting, check=True)
    desk, seen = at_desk(publisher), {"seen": "0"}
    assert desk.post(act(waiting, "approve"), seen).status_code == 302
    page = desk.get(review_page(waiting)).content.decode()
    assert "Approved by" in page
    assert act(waiting, "schedule") in page
    assert act(waiting, "approve") not in page
    late = timezone.localtime() - datetime.timedelta(hours=1)
    response = desk.post(act(waiting, "schedule"), seen | {"publish_at": f"{late:%Y-%m-%dT%H:%M}"})
    assert "it has passed" in response.context["form"].errors["publish_at"][0]
    soon = timezone.localtime() + datetime.timedelta(hours=1)
    assert desk.post(act(waiting, "schedule"), seen | {"publish_at": f"{soon:%Y-%m-%dT%H:%M}"}).status_code == 302
    assert "To be published on" in text_of(desk.get(change(waiting)))
    assert due.start_due() == 0
    assert desk.post(act(waiting, "call-off"), {"reason": "The bags are late."}).status_code == 302
    waiting.refresh_from_db()
    assert (waiting.publish_at, waiting.approved_by) == (None, publisher)


def test_an_approved_version_is_published_without_another_reason(at_desk, waiting, publisher):
    approve.approve(waiting, by=publisher, waiver_reason="Brewed it at the bench.")
    desk = at_desk(publisher)
    assert "waiver_reason" not in desk.get(act(waiting, "publish")).context["form"].fields
    assert desk.post(act(waiting, "publish"), {"seen": "0"}).status_code == 302


def test_going_back_from_the_page_of_an_earlier_revision(at_desk, waiting, publisher):
    first = published_first = waiting.guide.versions.get(revision=1)
    published(GuideVersion.objects.get(pk=_returned(waiting, publisher).pk))
    desk = at_desk(publisher)
    response = desk.post(act(first, "go-back"), {"waiver_reason": "Brewed it for a year."})
    assert response.status_code == 302
    newest = GuideVersion.objects.get(guide=first.guide, revision=3)
    assert (float(newest.kettle_c), newest.change_note) == (float(published_first.kettle_c), "As revision 1.")


def _returned(version: GuideVersion, by: User) -> GuideVersion:
    return review.send_back(version, by=by, reason="Once more.")


def test_a_finished_translation_is_published_by_its_button(at_desk, printed, publisher):
    draft = open_next(printed.guide, by=UserFactory(role="roaster"))
    desk = at_desk(publisher)
    assert act(draft, "publish-words").encode() not in desk.get(change(draft)).content
    VersionText.objects.create(version=draft, language="sv", title="Outer Mark i Mast")
    assert b"publish-words" in desk.get(change(draft)).content
    assert desk.post(act(draft, "publish-words"), {"seen": "0"}).status_code == 302
    draft.refresh_from_db()
    assert (draft.state, draft.revision) == ("published", 2)
