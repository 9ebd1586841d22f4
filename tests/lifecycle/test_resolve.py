"""Comments of a review: tied to a step, marked done, kept."""

from __future__ import annotations

import pytest

from guides.lifecycle.resolve import resolve
from guides.lifecycle.review import Comment, send_back, submit
from guides.models import Event, GuideVersion, ReviewComment, User

from .conftest import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def comment(in_review: GuideVersion, publisher: User) -> ReviewComment:
    send_back(
        in_review, by=publisher, comments=[Comment(" How far is the kettle from the water? ", step=2), Comment("")]
    )
    return ReviewComment.objects.get()


def test_a_comment_stands_at_its_step(comment: ReviewComment, publisher: User) -> None:
    assert (comment.place, comment.step.position, comment.written_by) == (3, 3, publisher)
    assert comment.text == "How far is the kettle from the water?"
    assert Event.objects.get(verb="returned").details["comments"] == 1


def test_it_goes_where_its_step_goes(comment: ReviewComment) -> None:
    comment.step.position = 1
    comment.step.save()
    comment.refresh_from_db()
    assert (comment.place, comment.step.position) == (3, 1)
    comment.step.delete()
    comment.refresh_from_db()
    assert (comment.place, comment.step) == (3, None)


def test_done_it_says_by_whom_and_stays(comment: ReviewComment, roaster: User) -> None:
    resolve(comment, by=roaster)
    comment.refresh_from_db()
    assert comment.resolved_by == roaster
    assert Event.objects.get(verb="resolved").reason == comment.text
    with refused("marked done already"):
        resolve(comment, by=roaster)


def test_only_while_it_is_a_draft(comment: ReviewComment, roaster: User) -> None:
    submit(comment.version, by=roaster)
    with refused("only while it is draft", "state"):
        resolve(comment, by=roaster)


def test_a_comment_that_will_not_do_returns_nothing(in_review: GuideVersion, publisher: User) -> None:
    with refused("no such step", "comment", 9):
        send_back(in_review, by=publisher, comments=[Comment("Stir?", step=9)])
    with refused("301 characters", "comment", 0):
        send_back(in_review, by=publisher, comments=[Comment("x" * 301, step=0)])
    assert not ReviewComment.objects.exists()
    in_review.refresh_from_db()
    assert in_review.state == "in_review"


def test_without_any_word_it_is_not_returned(in_review: GuideVersion, publisher: User) -> None:
    with refused("Reason: say why", "reason"):
        send_back(in_review, by=publisher, comments=[Comment(" ", step=1)])
