"""The check of what is typed: the same figures as publishing keeps, and nothing written."""

from __future__ import annotations

import json
import re

import pytest
from django.contrib.admin.models import LogEntry
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from guides.admin import figures
from guides.admin.mixins import LockedOnceSubmitted
from guides.lifecycle import review, snapshot, stored
from guides.models import Event, GuideVersion, Step
from tests.factories import (
    BrewerFactory,
    GuideFactory,
    GuideVersionFactory,
    JarBrewerFactory,
    LotFactory,
    TrialBrewFactory,
    ValveVersionFactory,
    published,
)

from .addresses import add, change

pytestmark = pytest.mark.django_db
NEW = "/admin/guides/guideversion/check/"


def check(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_check", args=[version.pk])


def shown(response) -> dict[str, str]:
    """The figures of the fragment by key, as a reader sees them."""
    found = re.findall(r'data-figure="(\w+)"><dt>(.*?)</dt><dd>(.*?)</dd>', response.content.decode())
    return {key: f"{label} {re.sub('<[^>]+>', '', value)}" for key, label, value in found}


def _said(facts) -> dict[str, str]:
    return {fact.key: f"{fact.label} {fact.value}" + (f" ({fact.note})" if fact.note else "") for fact in facts}


def _jar() -> GuideVersion:
    steps = (
        {"start_s": 0, "end_s": 30, "target_g": 480},
        {"start_s": 240, "end_s": 260, "action": "break_crust"},
        {"start_s": 480, "end_s": 510, "action": "decant"},
    )
    return GuideVersionFactory(brewer=JarBrewerFactory(), dose_g="32", water_g="480", kettle_c="95", steps=steps)


MADE = {
    "pulses": GuideVersionFactory,
    "valve": ValveVersionFactory,
    "jar": _jar,
    "ice": lambda: GuideVersionFactory(
        dose_g="20", water_g="190", ice_g="110", steps=({"start_s": 0, "end_s": 40, "target_g": 190},)
    ),
    "promised": lambda: ValveVersionFactory(
        strength_low_percent="1.25", strength_high_percent="1.35", extraction_percent="20"
    ),
}


@pytest.mark.parametrize("made", MADE)
def test_every_figure_is_what_publishing_keeps(at_desk, filled, made):
    version, desk = MADE[made](), at_desk()
    lot = LotFactory(coffee=version.guide.coffee, gas="lively")
    TrialBrewFactory(of=version, lot=lot, drained_s=190, cup_g="210")
    response = desk.post(check(version), filled(desk, change(version)))
    live = response.context["check"]
    kept = published(version)
    assessment = snapshot.read(kept).assessment
    assert stored.to_json(live.assessment) == kept.snapshot["assessment"]
    from guides.lifecycle.plan_of import plan_of, targets_of

    assert shown(response) == _said(figures.of(plan_of(kept), targets_of(kept), assessment, "en"))
    assert len(shown(response)) >= 5


def test_what_is_typed_counts_and_not_what_is_saved(at_desk, filled, draft):
    desk = at_desk()
    fields = filled(desk, change(draft)) | {"dose_g": "22", "steps-3-target_g": "330", "water_g": "330"}
    response = desk.post(check(draft), fields)
    assert "1:15" in shown(response)["brew_ratio"]
    assert "nothing in it stands against publishing" in response.content.decode()


def test_steps_count_in_the_order_they_are_put_and_messages_lead_to_their_row(at_desk, filled, draft):
    desk = at_desk()
    fields = filled(desk, change(draft)) | {"steps-0-position": "5", "steps-4-position": "1", "steps-1-DELETE": "on"}
    page = desk.post(check(draft), fields).content.decode()
    assert 'href="#id_steps-0-target_g"' in page  # 48 g, now after 264 g
    assert "Step 4:" in page


def test_nothing_is_written(at_desk, filled, draft):
    desk = at_desk()
    fields = filled(desk, change(draft)) | {"title": "Another", "steps-0-target_g": "50", "steps-1-DELETE": "on"}
    before = (list(GuideVersion.objects.values()), list(Step.objects.values()))
    with CaptureQueriesContext(connection) as captured:
        assert desk.post(check(draft), fields).status_code == 200
    verbs = {query["sql"].split()[0] for query in captured}
    assert not verbs & {"INSERT", "UPDATE", "DELETE"}
    assert (list(GuideVersion.objects.values()), list(Step.objects.values())) == before
    assert not LogEntry.objects.exists()
    assert not Event.objects.exists()
    assert desk.post(change(draft), fields).status_code == 302  # the same fields, saved: the control
    assert (list(GuideVersion.objects.values()), list(Step.objects.values())) != before


@pytest.mark.parametrize(
    ("typed", "said", "keeps"),
    [
        ({"title": ""}, "Still empty: title.", {"brew_ratio", "drained", "slurry_hottest"}),
        ({"kettle_c": "9l"}, "Kettle reads, °c: Enter a number.", {"brew_ratio", "cup"}),
        ({"steps-2-end_s": "1:99"}, "Step 3: To: “1:99”", {"brew_ratio", "cup"}),
        ({"steps-3-target_g": ""}, "Step 4: Scale shows: needed when water is added", {"brew_ratio", "cup"}),
        ({"dose_g": "abc"}, "Dose, g: Enter a number.", set()),
        ({"dose_g": ""}, "Still empty: dose, g.", set()),
        ({"brewer": ""}, "Still empty: brewer.", set()),
        ({"strength_low_percent": "1.5"}, "Strength: give both", {"brew_ratio", "drained"}),
        ({"dose_g": "450"}, "Dose: 450 g is outside", set()),
        ({"steps-0-end_s": "1:59:00"}, "Step 1: To:", {"brew_ratio"}),
    ],
)
def test_a_broken_field_is_said_beside_what_can_still_be_worked_out(
    at_desk, filled, draft, text_of, typed, said, keeps
):
    desk = at_desk()
    response = desk.post(check(draft), filled(desk, change(draft)) | typed)
    assert response.status_code == 200
    assert said in text_of(response)
    assert "Not ready to publish" in text_of(response)
    found = set(shown(response))
    assert keeps <= found
    if not keeps:
        assert found == set()
    elif "drained" not in keeps:
        assert not {"drained", "slurry_hottest", "first_drip", "overflow"} & found


def test_an_empty_new_form_asks_for_what_is_needed(at_desk, filled, text_of):
    desk, guide, brewer = at_desk(), GuideFactory(), BrewerFactory()
    empty = filled(desk, add(GuideVersion))
    assert desk.post(NEW, empty).status_code == 200
    assert desk.post(NEW, {}).status_code == 200
    half = empty | {"guide": str(guide.pk), "brewer": str(brewer.pk), "dose_g": "15", "water_g": "240"}
    response = desk.post(NEW, half)
    assert "1:16" in shown(response)["brew_ratio"]
    assert "Still empty: title, grind, median µm, kettle reads, °c." in text_of(response)
    assert not GuideVersion.objects.exists()


def test_somebody_elses_save_is_said_at_once(at_desk, filled, draft, text_of):
    mine, theirs = at_desk(), at_desk()
    fields = filled(mine, change(draft))
    theirs.post(change(draft), filled(theirs, change(draft)) | {"title": "Theirs"})
    assert "saved this draft at" in text_of(mine.post(check(draft), fields))


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_not_write_is_told_nothing(at_desk, filled, draft, role):
    fields = filled(at_desk(), change(draft))
    desk = at_desk(role=role)
    assert desk.post(NEW, fields).status_code == 403
    # Who packs or sells has no drafts; for them there is none at that address.
    assert desk.post(check(draft), fields).status_code == (403 if role == "reader" else 404)


def test_without_the_guard_it_would_answer(at_desk, filled, draft, monkeypatch):
    """Negative control."""
    fields = filled(at_desk(), change(draft))
    monkeypatch.setattr(LockedOnceSubmitted, "has_change_permission", lambda *_args: True)
    assert at_desk(role="reader").post(check(draft), fields).status_code == 200


def test_it_is_not_reached_from_outside(draft):
    for address in (check(draft), NEW):
        answer = Client().post(address, {})
        assert (answer.status_code, "/admin/login/" in answer.url) == (302, True)


def test_only_a_draft_is_checked_and_only_by_post(at_desk, filled, draft, printed):
    desk = at_desk()
    fields = filled(desk, change(draft))
    assert desk.get(check(draft)).status_code == 405
    assert desk.post(check(printed), fields).status_code == 403
    assert desk.post("/admin/guides/guideversion/999999/check/", fields).status_code == 404
    review.submit(draft, by=draft.created_by)
    assert desk.post(check(draft), fields).status_code == 403


def test_hostile_words_stay_words(at_desk, filled, draft):
    desk = at_desk()
    fields = filled(desk, change(draft)) | {"summary": "<script>x()</script>", "_drip": '"><img src=x>'}
    page = desk.post(check(draft), fields).content.decode()
    assert "<script>x()" not in page
    assert "<img" not in page


def test_a_wanted_first_drip_becomes_an_opening_with_one_earlier_and_one_later(at_desk, filled):
    """Common practice, no source: the first drop falls 1 to 5 s after opening."""
    version, desk = ValveVersionFactory(), at_desk()
    response = desk.post(check(version), filled(desk, change(version)) | {"_drip": "1:20"})
    drip = response.context["check"].drip
    early, wanted, late = drip.choices
    assert (wanted.wanted, wanted.first_drip) == (True, "1:20")
    assert 75 <= wanted.opening_s <= 79
    assert (wanted.opening_s - early.opening_s, late.opening_s - wanted.opening_s) == (15, 15)
    contact = [int(choice.contact.split()[0]) for choice in drip.choices]
    assert contact == sorted(contact)
    rows = json.loads(wanted.rows)
    assert set(rows) == {f"steps-{row}-{name}" for row in (3, 4) for name in ("start_s", "end_s", "anchor")}


@pytest.mark.parametrize(
    ("wish", "said"),
    [("1:99", "from 00 to 59"), ("0:01", "at the earliest"), ("soon", "is no time"), ("", "Now: about")],
)
def test_a_first_drip_that_cannot_be_says_why(at_desk, filled, text_of, wish, said):
    version, desk = ValveVersionFactory(), at_desk()
    response = desk.post(check(version), filled(desk, change(version)) | {"_drip": wish})
    assert said in text_of(response)
    assert response.context["check"].drip.choices == ()


def test_only_a_shut_valve_is_asked_when_to_open(at_desk, filled, draft):
    desk = at_desk()
    assert desk.post(check(draft), filled(desk, change(draft)) | {"_drip": "1:00"}).context["check"].drip is None


def test_without_scripts_the_button_saves_the_opening_and_shows_the_check(at_desk, filled):
    version, desk = ValveVersionFactory(), at_desk()
    response = desk.post(change(version), filled(desk, change(version)) | {"_open_at": "85", "_drip": "1:27"})
    assert response.url == f"{change(version)}?_drip=1%3A27#check"
    # Opened 10 s later than before; the pour after it keeps its distance.
    assert [(step.action, step.start_s) for step in version.steps.all()][3:5] == [("open", 85), ("pour", 95)]
    assert desk.get(response.url).context["check"].drip.typed == "1:27"


def test_without_scripts_save_and_check_leads_to_the_check(at_desk, filled, draft):
    desk = at_desk()
    response = desk.post(change(draft), filled(desk, change(draft)) | {"_check": "", "title": "Mine"})
    assert response.url == f"{change(draft)}#check"
    draft.refresh_from_db()
    assert draft.title == "Mine"


@pytest.mark.parametrize(
    ("promise", "said"),
    [
        ({"strength_low_percent": "1.25", "strength_high_percent": "1.35"}, "The promise lies within that."),
        ({"strength_low_percent": "2.20", "strength_high_percent": "2.40"}, "is stronger than"),
        ({"strength_low_percent": "0.40", "strength_high_percent": "0.50"}, "is weaker than"),
        ({"extraction_percent": "29"}, "lies outside the usual 18–22 %"),
    ],
)
def test_words_and_numbers_part_only_where_numbers_can_tell(at_desk, filled, text_of, draft, promise, said):
    desk = at_desk()
    page = text_of(desk.post(check(draft), filled(desk, change(draft)) | promise)).replace("\N{NO-BREAK SPACE}", " ")
    assert "“Clear and floral.”" in page or "Clear and floral." in page
    assert said in page
    assert ("Words and numbers part here." in page) is ("within" not in said)


def test_a_slurry_temperature_says_where_and_when(at_desk, filled, draft):
    desk = at_desk()
    found = shown(desk.post(check(draft), filled(desk, change(draft))))
    assert "Slurry after the first pour" in found["slurry_first"]
    assert "(at 0:10, water and coffee in the brewer)" in found["slurry_first"]
    assert "water and coffee in the brewer" in found["slurry_hottest"]


def test_the_picture_of_each_view_is_there(at_desk, filled, draft):
    desk = at_desk()
    page = desk.post(check(draft), filled(desk, change(draft))).content.decode()
    assert page.count("<svg") >= 4  # plan, cone, heat, and a path for each kind of pour
