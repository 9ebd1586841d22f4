"""A sheet says what the version says, in one language, and nothing of its own."""

import dataclasses
import datetime

import pytest
from django.utils import timezone

from guides.lifecycle import lots
from guides.models import StepText, VersionText
from guides.presenters import guide_sheet
from guides.presenters.numbers import NO_BREAK
from tests.factories import GrinderFactory, GuideVersionFactory, LotFactory, UserFactory, ValveVersionFactory, published

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 5, 10)


def sheet_of(version, language="en", lot=None):
    return guide_sheet.build(version, lot=lot, language=language, today=TODAY)


def plain(text: str) -> str:
    return text.replace(NO_BREAK, " ")


def test_the_table_of_the_pulses():
    sheet = sheet_of(GuideVersionFactory())
    rows = [(step.clock, plain(step.act), plain(step.target)) for step in sheet.steps]
    assert rows == [
        ("0:00–0:10", "Pour to 48 g, in circles from the centre outward, kettle low", "48 g"),
        ("0:45–1:00", "Pour to 120 g, in circles from the rim inward", "120 g"),
        ("1:15–1:30", "Pour to 192 g, in circles from the rim inward", "192 g"),
        ("1:45–2:00", "Pour to 264 g, in circles from the rim inward", "264 g"),
        ("2:05", "Swirl once", ""),
    ]


def test_a_step_that_waits_for_the_bed_names_the_event():
    sheet = sheet_of(ValveVersionFactory())
    assert sheet.steps[-1].clock == "drained"
    assert plain(sheet.steps[-1].act) == "Add hot water to the cup, to taste: up to 60 g"
    assert [plain(fact.value) for fact in sheet.targets[:2]] == ["1:12", "1:16"]


def test_predictions_are_marked_and_promises_are_not():
    sheet = sheet_of(GuideVersionFactory(strength_low_percent="1.40", strength_high_percent="1.50"))
    assert all(fact.value.startswith("about ") for fact in sheet.predictions)
    assert not any(fact.value.startswith("about ") for fact in (*sheet.targets, *sheet.ingredients))
    assert {fact.key for fact in sheet.predictions} >= {"first_drip", "drained", "cup"}


def test_a_published_sheet_does_not_move_when_what_it_rests_on_does():
    version = published()
    before = sheet_of(version)
    version.brewer.vessel.usable_ml = 300
    version.brewer.vessel.save()
    version.brewer.name = "Renamed"
    version.brewer.save()
    version.refresh_from_db()
    assert sheet_of(version) == before


def test_words_follow_the_language_and_fall_back_visibly():
    version = GuideVersionFactory(in_depth="Deep.")
    VersionText.objects.create(version=version, language="sv", title="Yttermärket", summary="Klart och blommigt.")
    first = version.steps.first()
    StepText.objects.create(step=first, language="sv", simple="Blöt allt kaffe.")
    swedish, finnish = sheet_of(version, "sv"), sheet_of(version, "fi")
    assert (swedish.title, swedish.words_language, swedish.steps[0].simple) == ("Yttermärket", "sv", "Blöt allt kaffe.")
    assert (finnish.title, finnish.words_language) == (version.title, "en")


@pytest.mark.parametrize("language", ["sv", "fi"])
def test_no_language_changes_a_number(language):
    version = ValveVersionFactory()

    def numbers(sheet):
        return [(step.start_s, step.end_s, step.target_g) for step in sheet.steps]

    assert numbers(sheet_of(version, language)) == numbers(sheet_of(version, "en"))


def test_grinders_show_the_size_they_land_on():
    GrinderFactory(name="Harrow")
    sheet = sheet_of(GuideVersionFactory(grind_um=690))
    assert [(fact.label, fact.value, plain(fact.note)) for fact in sheet.grinders] == [
        ("Harrow", "dial 5", "lands on 690 μm")
    ]


@pytest.mark.parametrize(
    ("age", "sentence"),
    [
        (3, "Day 3 since roasting: let it rest. At its best from 17 May to 6 June."),
        (14, "Day 14 since roasting: in its window. Best until 26 May."),
        (44, "Day 44 since roasting: its best days ended on 26 April. Use it soon."),
    ],
)
def test_the_bag_stands_in_its_window_in_a_dated_sentence(age, sentence):
    """Light roast, days 10 to 30: common practice, no source."""
    lot = LotFactory(roasted_on=TODAY - datetime.timedelta(days=age))
    assert plain(sheet_of(GuideVersionFactory(), lot=lot).lot.freshness) == sentence


def test_the_lot_brings_its_printed_code():
    lot = LotFactory.build(coffee=GuideVersionFactory().guide.coffee, roasted_on=timezone.localdate())
    lots.register(lot, by=UserFactory(role="publisher"))
    assert sheet_of(GuideVersionFactory(), lot=lot).lot.code == lot.addresses.get().code


def test_every_sheet_ends_its_safety_by_deferring_to_local_rules():
    sheet = sheet_of(ValveVersionFactory())
    assert "Local codes" in sheet.safety[-1]
    assert any("scald" in line for line in sheet.safety)


def test_the_drawing_is_part_of_the_sheet_and_carries_no_style():
    drawing = sheet_of(ValveVersionFactory()).plan_drawing
    assert drawing.startswith("<svg")
    assert "style" not in drawing
    assert "<title" in drawing
    assert "<desc" in drawing


def test_a_sheet_is_plain_data():
    assert dataclasses.asdict(sheet_of(GuideVersionFactory()))["steps"][0]["number"] == 1
