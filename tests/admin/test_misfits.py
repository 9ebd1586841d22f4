"""A check brew that missed its guide's window waits on the start of the desk until somebody answers it."""

from __future__ import annotations

import pytest

from guides.admin import waiting
from guides.lifecycle import assign, draft, new_lot, recall, trials
from tests.factories import LotFactory, published
from tests.factories.trials import missed_window

from .addresses import act, change
from .test_waiting import seen

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def checked(roaster):
    version = published(title="Pulses")
    return version, LotFactory(coffee=version.guide.coffee)


def test_a_check_brew_outside_the_window_waits_and_says_by_how_much(roaster, at_desk, text_of, checked):
    version, lot = checked
    brew = missed_window(version, lot=lot)
    assert seen(roaster)["misfits"] == [f"Pulses, {lot.name}"]
    assert "unchecked" not in seen(roaster)
    desk = at_desk(roaster)
    assert "outside" in text_of(desk.get("/admin/"))
    (section,) = [section for section in waiting.sections(roaster) if section.key == "misfits"]
    page = desk.get(section.lines[0].address)
    for name in ("hold", "keep"):
        assert act(brew, name) in page.content.decode()
    assert [row.pk for row in desk.get(section.address).context["cl"].queryset] == [brew.pk]


@pytest.mark.parametrize("answer", ["held", "adjusted", "kept", "brewed again", "set aside", "recalled", "pinned"])
def test_every_answer_takes_it_off_the_start(roaster, publisher, checked, answer):
    version, lot = checked
    first = version if answer != "pinned" else published(draft.open_next(version.guide, by=roaster))
    brew = missed_window(first, lot=lot)
    assert "misfits" in seen(roaster)
    match answer:
        case "held":
            assign.hold(assign.assign(lot, version.guide, by=roaster), by=roaster, reason="Drains late.")
        case "adjusted":
            published(new_lot.hold_and_adjust(brew, by=roaster))
            assign.release(lot.assignments.get(), by=roaster)
        case "kept":
            new_lot.keep(brew, by=roaster, reason="Nobody could tell them apart.")
        case "brewed again":
            missed_window(version, lot=lot, by_s=-5)
        case "set aside":
            trials.set_aside(brew, by=roaster, reason="The paper folded.")
        case "recalled":
            recall.recall(lot, by=publisher, reason="A screw may be in it.")
        case "pinned":
            assign.assign(lot, version.guide, by=roaster, pinned=version)
    assert "misfits" not in seen(roaster)


def test_a_brew_inside_the_window_or_otherwise_than_written_waits_for_nobody(roaster, checked):
    version, lot = checked
    missed_window(version, lot=lot, by_s=0)
    missed_window(version, grind_um=700)
    assert "misfits" not in seen(roaster)


def test_keeping_a_guide_asks_why(roaster, at_desk, text_of, checked):
    version, lot = checked
    brew, desk = missed_window(version, lot=lot), at_desk(roaster)
    assert desk.post(act(brew, "keep"), {"reason": ""}).status_code == 409
    assert "misfits" in seen(roaster)
    assert desk.post(act(brew, "keep"), {"reason": "Nobody could tell them apart."}).status_code == 302
    page = text_of(desk.get(change(brew)))
    assert f"by {roaster.display_name}: Nobody could tell them apart." in page
    assert act(brew, "keep") not in desk.get(change(brew)).content.decode()
