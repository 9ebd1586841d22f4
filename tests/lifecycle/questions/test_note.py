"""An answer becomes the why of its step in the open draft."""

from __future__ import annotations

import pytest

from guides.lifecycle import draft as drafts
from guides.lifecycle.questions import note
from guides.lifecycle.questions.note import into_why
from guides.lifecycle.review import submit
from guides.models import Event, GuideVersion, User
from tests.factories.questions import answered
from tests.lifecycle.conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]

WHY = "Small, because the gas must leave first; you'd notice the bed rise."


def why_of(version: GuideVersion, place: int) -> str:
    return version.steps.get(position=place).why


def test_the_next_draft_is_opened_for_it(printed: GuideVersion, roaster: User) -> None:
    question = answered(printed, step=2)
    draft = into_why(question, by=roaster, why=f" {WHY} ")
    assert (draft.state, draft.guide, why_of(draft, 2)) == ("draft", printed.guide, WHY)
    assert why_of(printed, 2) == ""
    events = Event.objects.filter(version_id=draft.pk).values_list("verb", flat=True)
    assert list(events) == ["opened_draft"]
    assert Event.objects.get(verb="noted").details["question"] == question.pk
    question.refresh_from_db()
    assert question.state == "answered", "the answer stays where it is"


def test_an_open_draft_is_used_and_whoever_has_it_open_is_told(printed: GuideVersion, roaster: User) -> None:
    open_ = drafts.open_next(printed.guide, by=roaster)
    draft = into_why(answered(printed, step=2), by=roaster, why=WHY)
    assert draft.pk == open_.pk
    assert draft.edit_number == open_.edit_number + 1
    assert draft.editors.filter(user=roaster).exists(), "who wrote it does not approve it alone"


def test_a_why_that_is_there_is_replaced_knowingly_or_not_at_all(printed: GuideVersion, roaster: User) -> None:
    question = answered(printed, step=1)
    with refused("There is a why already: “Lets the gas out.”", "replace"):
        into_why(question, by=roaster, why=WHY)
    assert not GuideVersion.objects.filter(guide=printed.guide, state="draft").exists(), "nothing was opened either"
    assert why_of(into_why(question, by=roaster, why=WHY, replace=True), 1) == WHY


def test_of_the_whole_guide_it_is_the_why_of_the_plan(printed: GuideVersion, roaster: User) -> None:
    assert into_why(answered(printed, step=None), by=roaster, why=WHY).why == WHY


def test_a_step_that_moved_is_found_and_one_that_is_another_is_not(printed: GuideVersion, roaster: User) -> None:
    draft = drafts.open_next(printed.guide, by=roaster)
    swirl = answered(printed, step=5)
    draft.steps.filter(position=4).delete()
    draft.steps.filter(position=5).update(position=4)
    assert note.step_in(draft, swirl) == 4
    draft.steps.filter(position=4).update(end_s=130)
    assert note.step_in(draft, swirl) is None
    with refused("Step 5 of the draft is another one now"):
        into_why(swirl, by=roaster, why=WHY)


def test_a_step_with_other_numbers_in_the_same_place_is_still_meant(printed: GuideVersion, roaster: User) -> None:
    draft = drafts.open_next(printed.guide, by=roaster)
    draft.steps.filter(position=2).update(start_s=50, end_s=70)
    assert note.step_in(draft, answered(printed, step=2)) == 2


def test_a_draft_in_review_is_left_alone(printed: GuideVersion, roaster: User) -> None:
    submit(drafts.open_next(printed.guide, by=roaster), by=roaster)
    with refused("in review; nobody changes it now"):
        into_why(answered(printed, step=2), by=roaster, why=WHY)


@pytest.mark.parametrize(("why", "says"), [("", "write the note first"), ("a" * 301, "300 is the most")])
def test_words_that_will_not_do(printed: GuideVersion, roaster: User, why: str, says: str) -> None:
    with refused(says, "why"):
        into_why(answered(printed, step=2), by=roaster, why=why)
