"""A guide made a reader's own: the same sheet, what differs and why."""

from __future__ import annotations

import datetime
import math
import warnings

import pytest
from iapws import IAPWS97

from guides.calculations.scaling import brew_ratio
from guides.presenters import adapted_sheet, guide_sheet
from guides.presenters.adapt_gear import Refused
from guides.presenters.adapt_request import AdaptRequest, parse
from guides.presenters.numbers import NO_BREAK
from tests.factories import (
    BrewerFactory,
    GrinderFactory,
    GuideVersionFactory,
    JarBrewerFactory,
    LotFactory,
    ValveVersionFactory,
    published,
)
from tests.public import world

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from ambiance import Atmosphere

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 5, 10)


def asked(**address: str) -> AdaptRequest:
    found = parse(address)
    assert found.request is not None, found.problems
    return found.request


def sheet_of(version, language="en", lot=None, **address):
    return adapted_sheet.build(version, asked(**address), lot=lot, language=language, today=TODAY)


def fact(sheet, key):
    return next(fact for fact in (*sheet.ingredients, *sheet.predictions) if fact.key == key)


def plain(text: str) -> str:
    return text.replace(NO_BREAK, " ")


@pytest.fixture
def pulses():
    return published()


@pytest.fixture
def house():
    return world.roastery(tap_alkalinity_mg_l=30)


def test_two_cups_are_twice_the_guide(pulses):
    sheet = sheet_of(pulses, size="2")
    assert [plain(step.target) for step in sheet.steps] == ["96 g", "240 g", "384 g", "528 g", ""]
    assert [plain(step.was_target) for step in sheet.steps] == ["48 g", "120 g", "192 g", "264 g", ""]
    assert (plain(fact(sheet, "dose").value), plain(fact(sheet, "dose").was)) == ("32 g", "16 g")
    assert "taken as 1 cup" in plain(" ".join(sheet.adapted.notes))


def test_what_the_guide_makes_is_the_guide(pulses):
    """16 g make one cup; asked for one, nothing changes."""
    sheet = sheet_of(pulses, size="1")
    guide = guide_sheet.build(pulses, language="en", today=TODAY)
    assert sheet.steps == guide.steps
    assert sheet.ingredients == guide.ingredients
    assert not sheet.adapted.changes


def test_every_figure_that_differs_shows_what_it_was_and_is_among_the_changes(pulses):
    sheet = sheet_of(pulses, dose="22", altitude="1480")
    guide = guide_sheet.build(pulses, language="en", today=TODAY)
    was = {each.key: each for each in guide.ingredients}
    changed = {row.code for row in sheet.adapted.changes}
    codes = {"dose": "dose_g", "water": "water_g", "kettle": "kettle_c", "grind": "grind_um"}
    for each in sheet.ingredients:
        differs = (each.value, each.note) != (was[each.key].value, was[each.key].note)
        assert bool(each.was) == differs
        assert (codes[each.key] in changed) == differs
    for step, old in zip(sheet.steps, guide.steps, strict=True):
        assert step.was_target == (old.target if old.target != step.target else "")
    assert all(line.differs == (line.mine != line.guide) for line in sheet.adapted.compared)


def test_in_the_hills_the_kettle_is_capped_and_it_says_what_else_to_change(pulses, house):
    """Water boils near 95.05 °C at 1,480 m (US Standard Atmosphere 1976 with IAPWS-97); the guide asks 97 °C."""
    sheet = sheet_of(pulses, altitude="1480", alkalinity="190")
    assert (plain(fact(sheet, "kettle").value), plain(fact(sheet, "kettle").was)) == ("94 °C", "97 °C")
    (unmet,) = sheet.adapted.unmet
    assert unmet.code == "kettle_below_guide"
    assert "97 °C" in plain(unmet.said)
    assert "finer" in unmet.instead
    blend = next(row for row in sheet.adapted.changes if row.code == "tap_share")
    assert plain(blend.after) == f"{100 * (30 - 2) / (190 - 2):.0f} %"  # mass balance with soft water of 2 mg/L


@pytest.mark.parametrize("altitude", [0, 400, 1000, 1480, 2000, 3000])
def test_nobody_is_asked_for_water_hotter_than_it_gets(pulses, altitude):
    """Outside check: pressure by the US Standard Atmosphere 1976 (`ambiance`), saturation by IAPWS-97 (`iapws`)."""
    boils_c = IAPWS97(P=float(Atmosphere(altitude).pressure[0]) / 1e6, x=0).T - 273.15
    shown = plain(fact(sheet_of(pulses, altitude=str(altitude)), "kettle").value)
    assert shown == f"{min(97, math.floor(boils_c - 1))} °C"  # water off the boil is 1 K below it


def test_an_altitude_may_be_in_feet(pulses):
    """5000 international feet are 1524 m (NIST SP 811)."""
    in_metres, in_feet = sheet_of(pulses, altitude="1524"), sheet_of(pulses, altitude="5000", alt="ft")
    assert in_feet.ingredients == in_metres.ingredients
    assert in_feet.adapted.query == "altitude=5000&alt=ft"


def test_boiling_point_and_altitude_ask_the_same(pulses):
    """95.0 °C is the boiling point at 1,500 m within 0.02 K (as above)."""
    low, high = sheet_of(pulses, boils="94.984"), sheet_of(pulses, altitude="1500")
    assert [plain(line.mine) for line in low.adapted.compared] == [plain(line.mine) for line in high.adapted.compared]


def test_units_change_no_brew(pulses):
    sheet = sheet_of(pulses, mass="oz", temp="f", vol="us")
    assert not sheet.adapted.changes
    assert [plain(step.target) for step in sheet.steps][:4] == ["1.69 oz", "4.23 oz", "6.77 oz", "9.31 oz"]
    assert plain(fact(sheet, "kettle").value) == "207 °F"  # 97 °C is 206.6 °F
    assert "fl oz" in plain(" ".join(sheet.before))


def test_drawings_speak_the_readers_units(pulses):
    sheet = sheet_of(pulses, mass="oz", temp="f")
    assert "ounces on the scale" in sheet.plan_drawing
    assert ">9.31<" in sheet.plan_drawing
    assert "207\xa0°F" in sheet.temperature_drawing
    assert "\xa0g" not in sheet.plan_drawing + "".join(sheet.path_drawings)


def test_what_is_typed_in_ounces_is_grams_inside(pulses):
    grams, ounces = sheet_of(pulses, dose="28.3495"), sheet_of(pulses, dose="1", mass="oz")
    assert [step.target_g for step in grams.steps] == [step.target_g for step in ounces.steps]


@pytest.mark.parametrize("size", ["1", "2", "full"])
def test_a_size_keeps_the_ratio(pulses, size):
    sheet = sheet_of(pulses, size=size)
    water = next(step.target_g for step in reversed(sheet.steps) if step.target_g)
    dose = float(plain(fact(sheet, "dose").value).split()[0])
    assert brew_ratio(dose, water) == pytest.approx(16.5, abs=0.6 / dose)


def test_a_bag_is_finished_in_equal_brews(pulses):
    sheet = sheet_of(pulses, bag="38")
    assert plain(fact(sheet, "dose").value) == "19 g"
    assert "2 brews of the same size" in " ".join(sheet.adapted.notes)


def test_my_brewer_is_one_of_the_roasterys(pulses):
    BrewerFactory(name="Little mast", slug="little-mast", vessel__usable_ml=200)
    sheet = sheet_of(pulses, brewer="little-mast")
    assert sheet.brewer == "Little mast"
    holds = next(row for row in sheet.adapted.changes if row.code == "usable_ml")
    assert (plain(holds.before), plain(holds.after)) == ("500 mL", "200 mL")


def test_a_weighing_beats_an_estimate_and_says_which(pulses):
    weighed = sheet_of(pulses, brewer="own", holds="320", height="90")
    assert "from your weighing" in " ".join(weighed.adapted.notes)
    assert "321" in " ".join(weighed.adapted.notes)  # 320 g of water at 20 °C are 320.6 mL (IAPWS-97)
    estimated = sheet_of(pulses, brewer="own", height="90")
    assert "254" in " ".join(estimated.adapted.notes)  # a 60° cone of 9 cm: π·9³/9
    assert "weigh it" in " ".join(estimated.adapted.notes)


def test_the_guides_own_brewer_can_be_weighed_too():
    version = published(ValveVersionFactory())
    sheet = sheet_of(version, holds="180")
    assert sheet.brewer == version.brewer.name
    assert "usable_ml" in {row.code for row in sheet.adapted.changes}


def test_my_grinder_gets_its_setting(pulses):
    GrinderFactory(name="Harrow", slug="harrow")
    (setting,) = sheet_of(pulses, grinder="harrow").grinders
    assert setting.label == "Harrow"
    own = sheet_of(pulses, points="3:450 5:690 7:930 9:1190")
    assert own.grinders[0].label == "Your grinder"
    assert own.grinders[0].note == setting.note
    assert sheet_of(pulses, "sv", points="3:450 5:690 7:930 9:1190").grinders[0].label == "Din kvarn"


def test_two_drained_times_correct_a_grinder_and_are_kept_as_an_offset(pulses):
    """Drained later than the guide says: the grinder grinds finer than its points."""
    slow = sheet_of(pulses, points="3:450 5:690 7:930 9:1190", drained="4:20 4:30")
    assert "finer than its points" in " ".join(slow.adapted.notes)
    assert "offset=-" in slow.adapted.gear
    assert "drained" not in slow.adapted.gear
    again = sheet_of(pulses, **dict(part.split("=") for part in slow.adapted.gear.replace("+", " ").split("&")))
    assert again.grinders[0].value == slow.grinders[0].value


def test_two_drained_times_alone_say_how_far_off_a_grinder_is(pulses):
    assert "This plan wants it" in " ".join(sheet_of(pulses, drained="4:20 4:30").adapted.notes)


def test_an_immersion_is_not_brewed_in_a_draining_cone(pulses):
    JarBrewerFactory(slug="jar")
    sheet = sheet_of(pulses, brewer="jar")
    assert [unmet.code for unmet in sheet.adapted.unmet] == ["not_the_same_method"]
    assert sheet.brewer == pulses.brewer.name


def test_the_gas_of_the_bag_counts():
    """Written for a rested coffee with 2 x the dose; a very fresh bag gets 3 x (common practice, no source)."""
    version = GuideVersionFactory()
    LotFactory(coffee=version.guide.coffee, gas="rested")
    version.steps.filter(position=1).update(target_g=32)
    version = published(version)
    fresh = LotFactory(
        coffee=version.guide.coffee, gas="very_fresh", roasted_on=TODAY - datetime.timedelta(days=7), gas_on=TODAY
    )
    sheet = sheet_of(version, lot=fresh, size="1")
    assert (plain(sheet.steps[0].target), plain(sheet.steps[0].was_target)) == ("48 g", "32 g")
    assert any("fresher" in row.why for row in sheet.adapted.changes)
    assert plain(sheet_of(version, size="1").steps[0].target) == "32 g"


@pytest.mark.parametrize(
    ("address", "field"),
    [
        ({"dose": "3000"}, "dose"),
        ({"dose": "-3"}, "dose"),
        ({"dose": "0"}, "dose"),
        ({"bag": "0.5"}, "bag"),
        ({"bag": "9999"}, "bag"),
        ({"altitude": "9000"}, "altitude"),
        ({"boils": "120"}, "boils"),
        ({"boils": "95", "temp": "f"}, "boils"),
        ({"alkalinity": "-5"}, "alkalinity"),
        ({"hardness": "99", "water": "german"}, "hardness"),
        ({"brewer": "nowhere"}, "brewer"),
        ({"grinder": "nowhere"}, "grinder"),
        ({"brewer": "own", "holds": "0"}, "holds"),
        ({"brewer": "own", "height": "5"}, "height"),
        ({"brewer": "own", "holds": "300", "across": "500"}, "across"),
        ({"points": "1:500 2:400 3:600"}, "points"),
        ({"points": "1:500 1:600 3:700"}, "points"),
        ({"points": "1:500 2:600 3:700", "click": "0"}, "points"),
        ({"points": "1:500 2:600 3:700", "offset": "900"}, "offset"),
        ({"points": "1:500 2:600 3:700", "drained": "4:00 4:10", "at": "9"}, "at"),
        ({"drained": "0:05 0:06"}, "drained"),
        ({"holds": "3", "size": "full"}, "holds"),
    ],
)
def test_numbers_no_brew_has_are_refused_at_their_field(pulses, address, field):
    with pytest.raises(Refused) as refused:
        sheet_of(pulses, **address)
    assert field in {problem.field for problem in refused.value.problems}


def test_all_problems_are_told_at_once(pulses):
    with pytest.raises(Refused) as refused:
        sheet_of(pulses, dose="3000", altitude="9000", brewer="nowhere")
    assert {problem.field for problem in refused.value.problems} == {"dose", "altitude", "brewer"}


@pytest.mark.parametrize("language", ["sv", "fi"])
def test_it_is_said_in_the_language_of_the_page(pulses, house, language):
    sheet = sheet_of(pulses, language, size="2", altitude="1480", alkalinity="190")
    english = sheet_of(pulses, "en", size="2", altitude="1480", alkalinity="190")
    assert not {row.why for row in sheet.adapted.changes} & {row.why for row in english.adapted.changes}
    assert not {unmet.said for unmet in sheet.adapted.unmet} & {unmet.said for unmet in english.adapted.unmet}
