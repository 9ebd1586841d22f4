"""A draft is written, its steps put in order, and checked as it is saved."""

from __future__ import annotations

import pytest

from guides.models import Event, Guide, GuideVersion, Step
from tests.factories import BrewerFactory, GuideFactory, GuideVersionFactory, ValveVersionFactory

from .addresses import add, change

pytestmark = pytest.mark.django_db


def _new_step(fields: dict[str, str], **values: str) -> None:
    index = int(fields["steps-TOTAL_FORMS"])
    fields["steps-TOTAL_FORMS"] = str(index + 1)
    for name, value in values.items():
        fields[f"steps-{index}-{name}"] = value


def test_a_first_version_is_written_with_its_steps(at_desk, roaster, filled):
    guide, brewer, desk = GuideFactory(), BrewerFactory(), at_desk(roaster)
    fields = filled(desk, add(GuideVersion) + f"?guide={guide.pk}")
    assert fields["guide"] == str(guide.pk)
    fields |= {
        "title": "Outer Mark in the Mast cone", "brewer": str(brewer.pk), "dose_g": "16", "water_g": "264",
        "kettle_c": "97", "grind_um": "660", "steps-0-start_s": "0:00", "steps-0-end_s": "0:10",
        "steps-0-target_g": "48", "steps-1-start_s": "45", "steps-1-end_s": "1:00", "steps-1-target_g": "264",
        "_continue": "1",
    }  # fmt: skip
    assert desk.post(add(GuideVersion), fields).status_code == 302
    version = GuideVersion.objects.get(guide=guide)
    steps = [(step.position, step.start_s, step.end_s, float(step.target_g)) for step in version.steps.all()]
    assert steps == [(1, 0, 10, 48.0), (2, 45, 60, 264.0)]
    assert version.created_by == roaster
    assert list(Event.objects.filter(version_id=version.pk).values_list("verb", flat=True)) == ["created"]


def test_times_are_shown_as_minutes_and_seconds(at_desk, draft, filled):
    fields = filled(at_desk(), change(draft))
    assert (fields["steps-1-start_s"], fields["steps-1-end_s"]) == ("0:45", "1:00")
    assert fields["steps-4-start_s"] == "2:05"


def test_a_page_saved_as_it_came_changes_nothing(at_desk, draft, filled):
    desk, before = at_desk(), list(Step.objects.order_by("pk").values())
    assert desk.post(change(draft), filled(desk, change(draft))).status_code == 302
    assert list(Step.objects.order_by("pk").values()) == before


def test_a_new_step_with_an_earlier_place_moves_the_others_down(at_desk, draft, filled):
    desk = at_desk()
    fields = filled(desk, change(draft))
    fields |= {"steps-5-position": "2", "steps-5-action": "stir", "steps-5-start_s": "0:12", "steps-5-end_s": "0:15"}
    desk.post(change(draft), fields)
    assert [step.action for step in draft.steps.all()] == ["pour", "stir", "pour", "pour", "pour", "swirl"]
    assert [step.position for step in draft.steps.all()] == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    ("moved", "to", "order"),
    [(0, "3", [45, 75, 0, 105, 125]), (3, "1", [105, 0, 45, 75, 125]), (1, "", [0, 75, 105, 125, 45])],
)
def test_a_step_goes_where_its_place_says(at_desk, draft, filled, moved, to, order):
    desk = at_desk()
    desk.post(change(draft), filled(desk, change(draft)) | {f"steps-{moved}-position": to})
    assert [step.start_s for step in draft.steps.all()] == order


def test_a_step_marked_is_deleted_and_the_rest_close_up(at_desk, draft, filled):
    desk = at_desk()
    desk.post(change(draft), filled(desk, change(draft)) | {"steps-1-DELETE": "on"})
    assert [(step.position, step.start_s) for step in draft.steps.all()] == [(1, 0), (2, 75), (3, 105), (4, 125)]


def test_what_is_wrong_with_a_step_stands_at_its_field_and_nothing_is_lost(at_desk, draft, filled):
    desk = at_desk()
    fields = filled(desk, change(draft))
    fields |= {"title": "A title just typed", "steps-2-end_s": "1:99", "steps-3-target_g": "", "steps-4-end_s": "1:00"}
    response = desk.post(change(draft), fields)
    steps = response.context["inline_admin_formsets"][0].formset
    assert response.status_code == 200
    assert "from 00 to 59" in steps.forms[2].errors["end_s"][0]
    assert steps.forms[3].errors["target_g"] == ["Scale shows: needed when water is added, empty otherwise."]
    assert steps.forms[4].errors["end_s"] == ["To: not before from."]
    page = response.content.decode()
    assert 'value="A title just typed"' in page
    assert 'value="1:99"' in page


def test_there_is_no_state_to_pick(at_desk, draft, filled):
    fields = filled(at_desk(), change(draft))
    assert not {"state", "revision", "published_at", "sha256"} & set(fields)


def test_a_posted_state_is_not_taken(at_desk, draft, filled):
    desk = at_desk()
    desk.post(change(draft), filled(desk, change(draft)) | {"state": "published", "revision": "9"})
    draft.refresh_from_db()
    assert (draft.state, draft.revision) == ("draft", None)


def test_a_second_draft_of_a_guide_is_refused_at_the_guide(at_desk, draft, filled):
    desk = at_desk()
    fields = filled(desk, add(GuideVersion) + f"?guide={draft.guide_id}")
    fields |= {
        "title": "Another", "brewer": str(draft.brewer_id), "dose_g": "16", "water_g": "264", "kettle_c": "97",
        "grind_um": "660",
    }  # fmt: skip
    response = desk.post(add(GuideVersion), fields)
    assert response.context["adminform"].form.errors["guide"] == [
        "Guide: it has an open draft already; go on with that one."
    ]


def test_the_check_says_what_the_plan_gives(at_desk, text_of):
    version = ValveVersionFactory()
    page = text_of(at_desk().get(change(version)))
    for words in ("Brew ratio 1:12", "Cup ratio 1:16", "Fits with the valve shut", "First drip about", "Drained about"):
        assert words in page
    assert "nothing in it stands against publishing" in page


def test_a_refusal_of_the_check_stands_at_the_field_it_names(at_desk):
    version = GuideVersionFactory(water_g="260.0")
    response = at_desk().get(change(version))
    step = response.context["inline_admin_formsets"][0].formset.forms[3]
    assert "the last pour ends at 264" in step.errors["target_g"][0]
    assert 'href="#id_steps-3-target_g"' in response.content.decode()


def test_a_valve_step_on_a_brewer_without_a_valve_is_named(at_desk, text_of):
    version = ValveVersionFactory(brewer=BrewerFactory())
    page = text_of(at_desk().get(change(version)))
    assert "Brewer: it has no valve, and the plan uses one." in page
    assert "Not ready to publish" in page


def test_a_number_no_brew_has_is_said_and_the_page_stays(at_desk, text_of):
    version = GuideVersionFactory(steps=({"start_s": 0, "end_s": 9000, "target_g": 264},))
    page = text_of(at_desk().get(change(version)))
    assert "Not ready to publish" in page


def test_a_new_guide_leads_to_its_first_version(at_desk, filled, roaster):
    desk, coffee = at_desk(roaster), GuideFactory(number=7).coffee
    fields = filled(desk, add(Guide))
    assert fields["number"] == "8"
    response = desk.post(add(Guide), fields | {"coffee": str(coffee.pk)})
    guide = Guide.objects.get(number=8)
    assert guide.slug == f"{coffee.slug}-8"
    assert response.url == f"{add(GuideVersion)}?guide={guide.pk}"
