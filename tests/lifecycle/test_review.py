"""Submitting, and handing back."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.choices import State
from guides.lifecycle.publish import publish
from guides.lifecycle.review import send_back, submit
from guides.models import Event, GuideVersion, Step, User
from tests.factories import BrewerFactory, GuideVersionFactory, TrialBrewFactory, UserFactory, ValveVersionFactory

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db


def test_submitting_says_who_and_when(draft: GuideVersion, roaster: User) -> None:
    version = submit(draft, by=roaster, note="The second pour is new.")
    version.refresh_from_db()
    assert (version.state, version.submitted_by) == (State.IN_REVIEW, roaster)
    assert version.submitted_at is not None
    assert Event.objects.get(verb="submitted").reason == "The second pour is new."


def test_a_note_too_long_is_said_and_not_cut(draft: GuideVersion, roaster: User) -> None:
    with refused("301 characters; write 300 at most", "note"):
        submit(draft, by=roaster, note="x" * 301)


def test_handed_back_it_is_a_draft_again(in_review: GuideVersion, publisher: User) -> None:
    with refused("Reason: say why", "reason"):
        send_back(in_review, by=publisher, reason=" ")
    version = send_back(in_review, by=publisher, reason="Pour two runs past the rim.")
    version.refresh_from_db()
    assert (version.state, version.submitted_at, version.submitted_by) == (State.DRAFT, None, None)
    assert verbs(version) == ["submitted", "returned"]


def test_a_writer_may_take_it_back(in_review: GuideVersion) -> None:
    assert send_back(in_review, by=in_review.created_by, reason="Forgot the stir.").state == State.DRAFT


def test_a_check_brew_counts_for_what_was_submitted(in_review: GuideVersion, publisher: User) -> None:
    TrialBrewFactory(of=in_review, check=True)
    send_back(in_review, by=publisher, reason="Cooler, please.")
    again = submit(in_review, by=in_review.created_by, at=timezone.now() + datetime.timedelta(minutes=2))
    with refused("No check brew", "waiver_reason"):
        publish(again, by=publisher)


def test_a_draft_that_could_not_be_published_is_told_so_at_once(roaster: User) -> None:
    draft = GuideVersionFactory(water_g="270.0")
    with refused(
        "the last pour ends at 264\N{NO-BREAK SPACE}g, and the water through the coffee is 270", "target_g", 3
    ):
        submit(draft, by=roaster)
    draft.refresh_from_db()
    assert draft.state == State.DRAFT


def steps(**changes: object) -> None:
    Step.objects.filter(position=2).update(**changes)


@pytest.mark.parametrize(
    ("change", "words", "field", "step"),
    [
        (lambda v: v.steps.all().delete(), "The plan has no pour. Add a step", "action", None),
        (lambda v: steps(start_s=5, end_s=9), "while the last one runs until 0:10", "start_s", 1),
        (lambda v: steps(target_g=40), "is no more than the 48", "target_g", 1),
        (lambda v: steps(end_s=45), "starts and ends at 0:45", "end_s", 1),
        (lambda v: Step.objects.filter(position=1).update(start_s=50, end_s=55), "before the one above", "start_s", 1),
        (lambda v: steps(action="open", target_g=None), "Brewer: it has no valve", "brewer", 1),
        (lambda v: steps(start_s=7300, end_s=7301), "From: 121:40 is outside 0:00 to 120:00", "start_s", 1),
        (lambda v: GuideVersion.objects.update(kettle_c="99.9"), "Write 99", "kettle_c", None),
        (
            lambda v: GuideVersion.objects.update(dose_g="0.5"),
            "Dose: 0.5\N{NO-BREAK SPACE}g is outside 1",
            "dose_g",
            None,
        ),
    ],
)
def test_bad_plans_name_field_and_step(
    draft: GuideVersion, roaster: User, change: object, words: str, field: str, step: int | None
) -> None:
    change(draft)  # type: ignore[operator]
    with refused(words, field, step):
        submit(draft, by=roaster)


def test_every_reason_is_given_at_once(draft: GuideVersion, roaster: User) -> None:
    steps(target_g=40)
    GuideVersion.objects.update(kettle_c="99.9", water_g="270.0")
    with pytest.raises(Exception, match=r"(?s)is no more than.*Make the two the same.*boils at") as caught:
        submit(draft, by=roaster)
    assert len(caught.value.refusals) == 3  # type: ignore[attr-defined]


def test_too_much_above_the_shut_valve_comes_with_the_split(roaster: User) -> None:
    """Demo world, first guide: the small cone takes 190 g over 15 g of a lively coffee."""
    version = ValveVersionFactory(
        water_g="240.0",
        bypass_g="0.0",
        steps=(
            {"start_s": 0, "end_s": 40, "target_g": 240, "path": "spiral_in"},
            {"start_s": 75, "end_s": 75, "action": "open"},
        ),
    )
    with refused("Pour 190\N{NO-BREAK SPACE}g through the coffee and add 50\N{NO-BREAK SPACE}g to the cup", "water_g"):
        submit(version, by=roaster)


def test_a_valve_plan_on_an_open_cone(roaster: User) -> None:
    version = ValveVersionFactory(brewer=BrewerFactory())
    with refused("it has no valve, and the plan uses one", "brewer"):
        submit(version, by=roaster)


def test_only_a_draft_is_submitted(in_review: GuideVersion) -> None:
    with refused("This version is in review; only one that is draft can become in review. Publish it or", "state"):
        submit(in_review, by=UserFactory(role="roaster"))
