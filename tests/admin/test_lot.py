"""Lots at the desk."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.lifecycle import assign, lots
from guides.models import Address, Assignment, Event, Lot
from tests.factories import CoffeeFactory, GuideFactory, LotFactory, published

from .addresses import act, add, change

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def _lot_fields(filled, desk, **values: str) -> dict[str, str]:
    coffee = CoffeeFactory()
    return filled(desk, add(Lot)) | {
        "name": "OM-084", "coffee": str(coffee.pk), "roasted_on": str(timezone.localdate()), "green_kg": "12",
        "loss_percent": "12.1",
    } | values  # fmt: skip


@pytest.fixture
def bag(roaster):
    """A registered lot with a published guide."""
    version = published()
    lot = lots.register(LotFactory.build(name="OM-071", coffee=version.guide.coffee), by=roaster)
    assign.assign(lot, version.guide, by=roaster)
    return lot


def test_a_new_lot_gets_a_code_and_a_line_in_its_history(at_desk, roaster, filled, text_of):
    desk = at_desk(roaster)
    assert desk.post(add(Lot), _lot_fields(filled, desk) | {"_continue": "1"}).status_code == 302
    lot = Lot.objects.get(name="OM-084")
    code = Address.objects.get(lot=lot).code
    page = text_of(desk.get(change(lot)))
    assert code in page
    assert f"/L/{code}" in page
    assert [event.verb for event in Event.objects.filter(lot=lot)] == ["created"]
    assert "created" in text_of(desk.get(change(lot).replace("change", "history")))


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", "OM-071", "Lot name: this one is used already. Names are never used twice."),
        ("name", "om 84", "Lot name: 1 to 20 capital letters, digits, points or hyphens."),
        ("name", "X" * 200, "at most 20 characters (it has 200)"),
        ("roasted_on", str(timezone.localdate() + datetime.timedelta(days=1)), "is in the future"),
        ("roasted_on", "yesterday", "Enter a valid date."),
        ("loss_percent", "-0.1", "Roast loss: 0 to 50 %; 11 to 17 % is usual."),
        ("loss_percent", "soon", "Enter a number."),
        ("green_kg", "0", "Green: more than 0 kg."),
        ("qc_kg", "-1", "Kept for tasting: 0 kg or more."),
        ("bag_g", "0", "Bag: more than 0 g."),
        ("bag_g", "9" * 30, "Ensure this value is less than or equal to"),
        ("green_kg", "NaN", "Enter a number."),
        ("rest_days", "9", "First good day and last best day: give both"),
        ("coffee", "999", "Select a valid choice"),
        ("gas", "fizzy", "Select a valid choice"),
        ("name", "A\x00B", "Null characters are not allowed"),
    ],
)
def test_bad_input_is_said_at_its_field_and_nothing_is_lost(at_desk, roaster, filled, bag, field, value, said):
    desk = at_desk(roaster)
    fields = _lot_fields(filled, desk, qc_kg="0.25") | {field: value}
    response = desk.post(add(Lot), fields)
    assert response.status_code == 200
    assert said in " ".join(response.context["adminform"].form.errors[field])
    kept = {"name", "loss_percent", "qc_kg", "green_kg"} - {field}
    assert all(f'value="{fields[name]}"' in response.content.decode() for name in kept)
    assert Lot.objects.count() == 1


def test_a_name_on_bags_stays(at_desk, roaster, bag, filled):
    desk = at_desk(roaster)
    fields = filled(desk, change(bag))
    assert "name" not in fields
    assert desk.post(change(bag), fields | {"name": "OM-099"}).status_code == 302
    bag.refresh_from_db()
    assert bag.name == "OM-071"


def test_a_lot_is_never_deleted(at_desk, bag):
    from tests.factories import UserFactory

    desk = at_desk(UserFactory(is_superuser=True))
    assert desk.post(change(bag).replace("change", "delete"), {"post": "yes"}).status_code == 403


def test_a_guide_is_given_to_a_lot_by_an_act(at_desk, roaster, filled, bag):
    other = GuideFactory(coffee=bag.coffee)
    desk = at_desk(roaster)
    fields = filled(desk, change(bag)) | {
        "assignments-TOTAL_FORMS": "2", "assignments-1-guide": str(other.pk), "assignments-1-follow": "newest",
        "assignments-1-lot": str(bag.pk),
    }  # fmt: skip
    assert desk.post(change(bag), fields).status_code == 302
    assert set(bag.assignments.values_list("guide", flat=True)) >= {other.pk}
    assert Event.objects.filter(lot=bag, guide=other, verb="assigned", by=roaster).count() == 1


def test_holding_and_releasing_a_guide_are_acts(at_desk, roaster, filled, bag):
    desk = at_desk(roaster)
    held = {"assignments-0-follow": "held", "assignments-0-held_reason": "Drains late."}
    desk.post(change(bag), filled(desk, change(bag)) | held)
    assert bag.assignments.get().held_reason == "Drains late."
    desk.post(change(bag), filled(desk, change(bag)) | {"assignments-0-follow": "newest"})
    row = bag.assignments.get()
    assert (row.follow, row.held_reason) == ("newest", "")
    verbs = list(Event.objects.filter(lot=bag).order_by("pk").values_list("verb", flat=True))
    assert verbs == ["created", "assigned", "held", "assigned"]


def test_holding_without_a_reason_is_refused_at_the_field(at_desk, roaster, filled, bag):
    desk = at_desk(roaster)
    response = desk.post(change(bag), filled(desk, change(bag)) | {"assignments-0-follow": "held"})
    row = response.context["inline_admin_formsets"][0].formset.forms[0]
    assert row.errors["held_reason"] == ["Why held: say what is wrong for this lot."]
    assert bag.assignments.get().follow == "newest"


def test_a_guide_of_another_coffee_is_refused_at_its_row_and_the_lot_is_not_half_saved(at_desk, roaster, filled):
    desk, other = at_desk(roaster), GuideFactory()
    fields = _lot_fields(filled, desk) | {"assignments-0-guide": str(other.pk), "assignments-0-follow": "newest"}
    response = desk.post(add(Lot), fields)
    assert response.status_code == 200
    row = response.context["inline_admin_formsets"][0].formset.forms[0]
    assert "Choose a guide of" in row.errors["guide"][0]
    assert 'value="OM-084"' in response.content.decode()
    assert not Lot.objects.exists()
    assert not Assignment.objects.exists()


def test_recalling_needs_a_reason_and_shows_it(at_desk, publisher, bag, text_of):
    desk = at_desk(publisher)
    response = desk.post(act(bag, "recall"), {"recall_reason": " "})
    assert "say why" in response.context["form"].errors["recall_reason"][0]
    desk.post(act(bag, "recall"), {"recall_reason": "A screw may be in it. Do not drink."})
    bag.refresh_from_db()
    assert bag.recalled_by == publisher
    page = text_of(desk.get(change(bag)))
    assert "A screw may be in it. Do not drink." in page
    assert "Recall this lot" not in page


def test_a_recalled_lot_says_what_fails_on_its_page(at_desk, publisher, filled, bag):
    from guides.lifecycle import recall

    recall.recall(bag, by=publisher, reason="A screw may be in it.")
    desk = at_desk(publisher)
    fields = filled(desk, change(bag)) | {"assignments-0-follow": "held", "assignments-0-held_reason": "x"}
    assert desk.post(change(bag), fields).status_code == 302
    response = desk.post(change(bag), filled(desk, change(bag)) | {"assignments-0-follow": "newest"})
    row = response.context["inline_admin_formsets"][0].formset.forms[0]
    assert "it is recalled" in " ".join(message for messages in row.errors.values() for message in messages)


def test_bags_are_counted(at_desk, text_of):
    """12.0 kg green, 13.6 % loss, 0.3 kg kept, 250 g bags: 12 × 0.864 − 0.3 = 10.068 kg, 40 bags (arithmetic)."""
    lot = LotFactory(green_kg="12.0", loss_percent="13.6", qc_kg="0.3")
    assert "40 × 250 g" in text_of(at_desk().get(change(lot)))
