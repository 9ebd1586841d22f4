"""Bad input at the desk: what, where, why; nothing lost; never a 500."""

from __future__ import annotations

import datetime

import pytest
from django.contrib.admin import ModelAdmin
from django.db import IntegrityError
from django.utils import timezone

from guides.models import Brewer, Coffee, GreenLot, Grinder, Roast, Roastery, TrialBrew, Vessel
from tests.factories import BrewerFactory, GrinderFactory, GuideVersionFactory, LotFactory, VesselFactory

from .addresses import add, change

pytestmark = pytest.mark.django_db

_LONG = "N" * 200
_VESSEL = {"name": "Mast cone", "shape": "cone", "half_angle_deg": "30", "outlet_radius_mm": "10", "usable_ml": "500"}


def _refusals(desk, filled, address: str, field: str, **values: str) -> str:
    fields = filled(desk, address) | values
    response = desk.post(address, fields)
    assert response.status_code == 200
    for value in values.values():
        if value and value.isalnum():
            assert value in response.content.decode()
    return " ".join(response.context["adminform"].form.errors.get(field, ()))


@pytest.mark.parametrize("model", [Coffee, Vessel, Brewer, Grinder, GreenLot, Roast])
def test_a_name_of_200_characters(at_desk, filled, model):
    assert "(it has 200)" in _refusals(at_desk(), filled, add(model), "name", name=_LONG)


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"usable_ml": ""}, "usable_ml", "required"),
        ({"usable_ml": "0"}, "usable_ml", "Usable volume: more than 0 mL; weigh the water it holds."),
        ({"usable_ml": "-5"}, "usable_ml", "greater than or equal to 0"),
        ({"half_angle_deg": ""}, "shape", "a cone needs half angle and outlet radius"),
        ({"shape": "cylinder"}, "shape", "a straight wall its radius"),
    ],
)
def test_a_cone_that_cannot_be(at_desk, filled, changed, field, said):
    assert said in _refusals(at_desk(), filled, add(Vessel), field, **(_VESSEL | changed))


def test_a_brewer_with_a_valve_and_no_base(at_desk, filled):
    vessel = VesselFactory()
    said = _refusals(
        at_desk(), filled, add(Brewer), "valve_base",
        name="Tidegate", slug="tidegate", outflow="valve", vessel=str(vessel.pk),
    )  # fmt: skip
    assert said == "Valve base: needed for a brewer with a valve, and for no other."


def test_a_brewer_name_used_already(at_desk, filled):
    BrewerFactory(name="Mast")
    assert "already exists" in _refusals(at_desk(), filled, add(Brewer), "name", name="Mast")


def test_a_roast_in_the_future_or_one_that_gains_mass(at_desk, filled):
    green = GreenLot.objects.create(name="G-1", mass_kg=60)
    tomorrow = str(timezone.localdate() + datetime.timedelta(days=1))
    values = {"name": "R1", "green_lot": str(green.pk), "green_kg": "12", "roasted_kg": "10"}
    desk = at_desk()
    assert "in the future" in _refusals(desk, filled, add(Roast), "roasted_on", **values, roasted_on=tomorrow)
    values |= {"roasted_kg": "13", "roasted_on": str(timezone.localdate())}
    assert "no more than went in" in _refusals(desk, filled, add(Roast), "roasted_kg", **values)


def test_a_gtin_with_a_wrong_check_digit(at_desk, filled):
    """09506000134352 is the example of the GS1 General Specifications; its last digit is changed here."""
    assert "check digit" in _refusals(at_desk(), filled, add(Coffee), "gtin", gtin="09506000134353")
    assert _refusals(at_desk(), filled, add(Coffee), "gtin", gtin="09506000134352") == ""


def test_two_points_of_a_grinder_at_one_setting(at_desk, filled):
    grinder = GrinderFactory()
    desk = at_desk()
    fields = filled(desk, change(grinder)) | {
        "points-TOTAL_FORMS": "5", "points-4-setting": "3", "points-4-median_um": "500",
        "points-4-measured_by": "laser", "points-4-grinder": str(grinder.pk),
    }  # fmt: skip
    response = desk.post(change(grinder), fields)
    row = response.context["inline_admin_formsets"][0].formset.forms[4]
    assert row.errors["setting"] == ["Setting: this one has a point already."]


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("dose_g", "0", "Dose: more than 0 and up to 500 g."),
        ("water_g", "5001", "Water through the coffee: more than 0 and up to 5000 g."),
        ("kettle_c", "101", "Kettle: 1 to 100 °C."),
        ("grind_um", "50", "Grind: 100 to 2000 µm."),
        ("bypass_g", "-1", "Water added and ice: 0 to 5000 g."),
        ("strength_low_percent", "1.3", "Strength: give both, the lower first, or neither."),
        ("extraction_percent", "31", "Extraction: more than 0 and up to 30 %."),
        ("title", _LONG, "(it has 200)"),
        ("dose_g", "1e400", "no more than 6 digits"),
        ("dose_g", "", "required"),
    ],
)
def test_a_plan_that_cannot_be(at_desk, filled, field, value, said):
    version = GuideVersionFactory()
    assert said in _refusals(at_desk(), filled, change(version), field, **{field: value})


def test_a_check_brew_without_the_plan_it_checks(at_desk, filled):
    lot, brewer = LotFactory(), BrewerFactory()
    said = _refusals(
        at_desk(), filled, add(TrialBrew), "version",
        lot=str(lot.pk), brewer=str(brewer.pk), is_check_brew="on", dose_g="16", water_g="264", kettle_c="97",
        grind_um="660", brewed_at="2026-03-01T10:00",
    )  # fmt: skip
    assert said == "Plan followed: a check brew is brewed from a guide; choose it."


def test_a_trial_brew_is_logged_with_clock_times(at_desk, filled, roaster):
    lot, brewer, desk = LotFactory(), BrewerFactory(), at_desk(roaster)
    fields = filled(desk, add(TrialBrew)) | {
        "lot": str(lot.pk), "brewer": str(brewer.pk), "dose_g": "16", "water_g": "264", "kettle_c": "97",
        "grind_um": "660", "drained_s": "2:35", "first_drip_s": "18",
    }  # fmt: skip
    assert desk.post(add(TrialBrew), fields).status_code == 302
    brew = TrialBrew.objects.get()
    assert (brew.drained_s, brew.first_drip_s, brew.brewed_by) == (155, 18, roaster)


@pytest.mark.parametrize("number", ["0", "abc", "9" * 40, "-1", "1%00", "%F0%9F%8D%B5"])
@pytest.mark.parametrize("page", ["change/", "history/", "delete/", "act/submit/", "preview/"])
def test_an_address_that_leads_nowhere(at_desk, publisher, draft, number, page):
    desk = at_desk(publisher)
    address = f"/admin/guides/guideversion/{number}/{page}"
    assert desk.get(address).status_code in (302, 403, 404)
    assert desk.post(address, {"seen": "0"}).status_code in (302, 403, 404, 409)


def test_two_people_who_save_the_same_name_at_once(at_desk, filled, monkeypatch):
    """The check has passed for both; the database keeps the first, and the second is told at the field."""
    desk = at_desk()
    fields = filled(desk, add(GreenLot)) | {"name": "G-2", "mass_kg": "60"}
    save = ModelAdmin.changeform_view

    def lose_the_race(self, *args, **kwargs):
        if not GreenLot.objects.exists():
            GreenLot.objects.create(name="G-2", mass_kg=30)
            raise IntegrityError("UNIQUE constraint failed")
        return save(self, *args, **kwargs)

    monkeypatch.setattr(ModelAdmin, "changeform_view", lose_the_race)
    response = desk.post(add(GreenLot), fields)
    assert "already exists" in response.context["adminform"].form.errors["name"][0]
    assert "Somebody saved at the same moment" in response.content.decode()
    assert 'value="60"' in response.content.decode()


def test_the_roastery_is_one_row_with_its_languages_in_order(at_desk, publisher, filled):
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv"])
    desk = at_desk(publisher)
    address = desk.get("/admin/guides/roastery/").url
    assert desk.get("/admin/guides/roastery/add/").status_code == 403
    fields = filled(desk, address) | {"main_language": "fi", "further_languages": ["sv", "fi"]}
    assert desk.post(address, fields).status_code == 302
    assert Roastery.objects.get().languages == ["fi", "sv"]
    assert "six hexadecimal digits" in _refusals(desk, filled, address, "accent", accent="brown")
    assert "text needs 4.5 : 1" in _refusals(desk, filled, address, "accent", accent="#c0c0c0")
