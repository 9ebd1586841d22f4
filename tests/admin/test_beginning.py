"""A first version begins from a usual plan in one click; what was typed stands."""

from __future__ import annotations

import pytest

from guides.calculations.presets import Method, methods_for
from guides.lifecycle import content, starting
from guides.lifecycle.plan_of import brewer_of
from guides.models import Event, GuideVersion
from tests.factories import BrewerFactory, GuideFactory, JarBrewerFactory, LotFactory, ValveBrewerFactory

from .addresses import add, change

pytestmark = pytest.mark.django_db


@pytest.fixture
def brewers():
    return [BrewerFactory(name="Mast cone"), ValveBrewerFactory(name="Tidegate S"), JarBrewerFactory(name="Bell jar")]


@pytest.mark.parametrize("gas", ["rested", "lively", "very_fresh"])
def test_every_plan_offered_is_saved_as_it_opens_and_could_be_published(at_desk, filled, brewers, gas):
    desk = at_desk()
    for brewer in brewers:
        for method in methods_for(brewer_of(brewer)):
            guide = GuideFactory()
            LotFactory(coffee=guide.coffee, gas=gas)
            fields = filled(desk, f"{add(GuideVersion)}?guide={guide.pk}&plan={method}:{brewer.pk}")
            assert desk.post(add(GuideVersion), fields).status_code == 302, (brewer, method)
            version = GuideVersion.objects.get(guide=guide)
            assert content.refusals(version) == []
            assert version.title == f"{guide.coffee} in the {brewer}"


def test_a_guide_without_a_version_offers_what_fits_each_brewer(at_desk, text_of, brewers):
    guide = GuideFactory()
    response = at_desk().get(change(guide))
    page = response.content.decode()
    offered = {(str(brewer), plan.label) for brewer, plans in response.context["offers"] for plan in plans}
    assert offered == {
        ("Mast cone", "In pulses"), ("Mast cone", "Over ice"), ("Bell jar", "Full immersion"),
        ("Tidegate S", "Shut first, then open"), ("Tidegate S", "In pulses"), ("Tidegate S", "Over ice"),
    }  # fmt: skip
    assert f"?guide={guide.pk}&amp;plan=pulses%3A{brewers[0].pk}" in page


def test_a_guide_with_a_version_and_a_reader_are_offered_nothing(at_desk, draft, brewers):
    assert not at_desk().get(change(draft.guide)).context["offers"]
    assert not at_desk(role="reader").get(change(GuideFactory())).context["offers"]


def test_opening_one_saves_nothing(at_desk, brewers):
    desk, guide = at_desk(), GuideFactory()
    assert desk.get(f"{add(GuideVersion)}?guide={guide.pk}&plan=pulses:{brewers[0].pk}").status_code == 200
    desk.post(add(GuideVersion), {"guide": guide.pk, "plan": f"pulses:{brewers[0].pk}"})
    assert not GuideVersion.objects.exists()
    assert not Event.objects.exists()


def test_what_was_typed_stands_and_the_plan_is_scaled_to_it(at_desk, brewers, text_of):
    guide, brewer = GuideFactory(), brewers[0]
    typed = {
        "guide": guide.pk, "title": "My own <title>", "why": "Because.", "dose_g": "18", "kettle_c": "9l",
        "bypass_g": "0", "ice_g": "0", "steps-TOTAL_FORMS": "4", "plan": f"pulses:{brewer.pk}",
    }  # fmt: skip
    response = at_desk().post(add(GuideVersion), typed)
    form = response.context["adminform"].form
    shown = {name: form[name].value() for name in ("title", "why", "dose_g", "kettle_c", "water_g", "brewer")}
    assert shown == {
        "title": "My own <title>", "why": "Because.", "dose_g": "18", "kettle_c": "9l", "water_g": "288",
        "brewer": brewer.pk,
    }  # fmt: skip
    rows = response.context["inline_admin_formsets"][0].formset.forms
    assert [row["target_g"].value() for row in rows][3] == "288"
    assert "What you had written stands as it was." in text_of(response)


def test_steps_of_ones_own_are_never_replaced(at_desk, brewers, text_of):
    typed = {
        "guide": GuideFactory().pk, "steps-TOTAL_FORMS": "1", "steps-0-action": "pour", "steps-0-start_s": "0:xx",
        "steps-0-target_g": "61", "steps-0-why": "Mine.", "plan": f"pulses:{brewers[0].pk}",
    }  # fmt: skip
    response = at_desk().post(add(GuideVersion), typed)
    first, *rest = response.context["inline_admin_formsets"][0].formset.forms
    assert (first["start_s"].value(), first["target_g"].value(), first["why"].value()) == ("0:xx", "61", "Mine.")
    assert all(row["target_g"].value() is None for row in rest)
    assert "Your own steps stand" in text_of(response)
    assert 'value="0:xx"' in response.content.decode()


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ({"plan": "valve:{mast}"}, "does not fit the Mast cone"),
        ({"plan": "valve:{tidegate}", "dose_g": "40"}, "Dose: 40 g is too much; 15 g is the most."),
        ({"plan": "valve:{tidegate}", "dose_g": "15", "water_g": "300"}, "Water through the coffee: 300 g is too much"),
        ({"plan": "nonsense"}, "There is no such plan any more."),
        ({"plan": "pulses:999999999999999999999"}, "There is no such plan any more."),
    ],
)
def test_a_plan_that_does_not_fit_says_why_and_loses_nothing(at_desk, brewers, text_of, wish, said):
    keys = {"mast": brewers[0].pk, "tidegate": brewers[1].pk}
    typed = {"title": "Mine", "guide": GuideFactory().pk} | {name: text.format(**keys) for name, text in wish.items()}
    response = at_desk().post(add(GuideVersion), typed)
    assert said in text_of(response)
    assert response.context["adminform"].form["title"].value() == "Mine"


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_not_write_opens_none(at_desk, brewers, role):
    address = f"{add(GuideVersion)}?guide={GuideFactory().pk}&plan=pulses:{brewers[0].pk}"
    assert at_desk(role=role).get(address).status_code == 403
    assert at_desk(role=role).post(address, {"plan": f"pulses:{brewers[0].pk}"}).status_code == 403


def test_a_plan_knows_the_coffee_it_is_for():
    """2 to 3 times the dose by gas: common practice, no source."""
    guide, brewer = GuideFactory(), BrewerFactory()
    LotFactory(coffee=guide.coffee, gas="rested")
    calm = starting.plan_for(Method.PULSES, brewer, guide)
    assert calm.steps[0].target_g == 2 * calm.dose_g
    assert starting.plan_for(Method.PULSES, brewer).steps[0].target_g > calm.steps[0].target_g
