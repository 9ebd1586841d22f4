"""Tracing and recalling at the desk: from green coffee to where every bag is, and back."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from guides.choices import Outlet
from guides.lifecycle.dispatch import dispatch
from guides.lifecycle.packing import count, release, reprint
from guides.lifecycle.packing.count import Counts
from guides.lifecycle.packing.order_together import order_together
from guides.models import Dispatch, Lot, PackingRun, Roast, User
from tests.factories import LotFactory
from tests.factories.green import filled, green_lot, roasted
from tests.factories.packed import packed

from .addresses import act, change

pytestmark = pytest.mark.django_db
SCREW = "A screw may be in the coffee. Do not grind it, do not drink it."


def trace_page(row: object) -> str:
    return reverse(f"admin:guides_{row._meta.model_name}_trace", args=[row.pk])


@pytest.fixture
def rope_walk(packer: User) -> Lot:
    lot = filled(
        LotFactory(name="RW-091", green_kg="12.00", loss_percent="13.6", qc_kg="0.30"),
        roasted(green_lot(name="Rope Walk, first crop"), name="RW-091 R1"),
    )
    for outlet, bags, place in (
        (Outlet.SHELF, 12, ""), (Outlet.WEB, 22, ""), (Outlet.CAFE, 5, "Lantern Quay café"), (Outlet.RETAINED, 1, ""),
    ):  # fmt: skip
        dispatch(lot, outlet, bags, by=packer, place=place)
    return lot


@pytest.mark.parametrize("start", ["green", "roast", "lot"])
def test_a_trace_begins_anywhere(at_desk, text_of, rope_walk: Lot, start: str) -> None:
    roast = Roast.objects.get()
    row = {"green": roast.green_lot, "roast": roast, "lot": rope_walk}[start]
    desk = at_desk(role="reader")
    assert trace_page(row) in desk.get(change(row)).content.decode()
    page = text_of(desk.get(trace_page(row)))
    for words in ("Rope Walk, first crop", "RW-091 R1", "Lantern Quay café 5", "Together 40", "All 40 bags"):
        assert words in page
    assert "12.00 kg roasted and 48.00 kg not" in page


def test_a_gap_is_said_with_its_size(at_desk, text_of, rope_walk: Lot, packer: User) -> None:
    dispatch(rope_walk, Outlet.WEB, -3, by=packer)
    assert "3 bags are not accounted for" in text_of(at_desk(role="reader").get(trace_page(rope_walk)))
    dispatch(rope_walk, Outlet.SHELF, 5, by=packer)
    assert "2 bags more went out than the lot fills" in text_of(at_desk(role="reader").get(trace_page(rope_walk)))


def test_a_packer_traces_lots_and_not_green_coffee(at_desk, rope_walk: Lot) -> None:
    desk = at_desk(role="packer")
    assert desk.get(trace_page(rope_walk)).status_code == 200
    assert desk.get(trace_page(Roast.objects.get().green_lot)).status_code == 403


def test_before_recalling_green_coffee_the_desk_says_what_it_reaches(at_desk, text_of, publisher, rope_walk) -> None:
    filled(LotFactory(name="RW-078", green_kg="15.00", loss_percent="13.4", qc_kg="0.30"),
           roasted(Roast.objects.get().green_lot), "10.00")  # fmt: skip
    green = Roast.objects.filter(name="RW-091 R1").get().green_lot
    desk = at_desk(publisher)
    page = text_of(desk.get(act(green, "recall")))
    assert "2 packed lots, 90 bags, 40 of them out" in page
    assert "12 own shelf, 22 web orders" in page
    assert not Lot.objects.exclude(recalled_at=None).exists()
    assert desk.post(act(green, "recall"), {"recall_reason": ""}).status_code == 409
    assert desk.post(act(green, "recall"), {"recall_reason": SCREW}).status_code == 302
    assert set(Lot.objects.exclude(recalled_at=None).values_list("name", flat=True)) == {"RW-078", "RW-091"}
    assert SCREW in text_of(desk.get(change(green)))
    history = reverse("admin:guides_greenlot_history", args=[green.pk])
    assert "recalled with all its lots" in text_of(desk.get(history))


def test_a_packer_writes_down_where_bags_went(at_desk) -> None:
    lot, desk = LotFactory(), at_desk(role="packer")
    line = {"outlet": "cafe", "place": "Lantern Quay café", "bags": "5", "on": "2020-01-02"}
    for wrong in ({"place": ""}, {"bags": "0"}, {"bags": "many"}, {"on": "2999-01-01"}):
        answer = desk.post(act(lot, "bags-out"), line | wrong)
        assert (answer.status_code, Dispatch.objects.count()) == (409, 0)
    assert desk.post(act(lot, "bags-out"), line).status_code == 302
    assert Dispatch.objects.get().place == "Lantern Quay café"


def test_more_back_than_went_comes_back_as_typed(at_desk: object, packer: User) -> None:
    lot, desk = LotFactory(), Client()
    desk.force_login(packer)
    answer = desk.post(act(lot, "bags-out"), {"outlet": "web", "place": "", "bags": "-2", "on": "2020-01-02"})
    assert "2 cannot come back from where 0 went" in answer.content.decode()
    assert 'value="-2"' in answer.content.decode()


def test_inserts_are_traced_to_every_copy(at_desk, text_of, packer: User) -> None:
    """Two lots of one order, one of them counted with its reprint, the other not yet."""
    bags = [packed(name=name) for name in ("RW-078", "RW-091")]
    wanted = [
        PackingRun(lot=lot, version=version, language="en", paper="card-a7", sheet="a4", copies=48)
        for lot, version in bags
    ]
    first, second = order_together(wanted, by=packer)
    assert release.release(second, "runs/ab/abc.pdf")
    first.refresh_from_db()
    count.count(first, Counts(48, 3, 8, 37, bags=37), by=packer, leftovers="destroy")
    again = reprint.reprint(first, 3, by=packer)
    assert release.release(again, "runs/cd/cde.pdf")
    count.count(again, Counts(3, 0, 0, 3, bags=4), by=packer, difference="A sample went out without one.")
    page = text_of(at_desk(packer).get(trace_page(bags[0][0])))
    title = bags[0][1].title
    for words in (
        f"{title} 1.en 48 3 8 37 37 adds up",
        f"{title} 1.en, R1 3 0 0 3 4 A sample went out without one.",
        "Together 51 3 8 40 adds up",
    ):
        assert words in page
    assert "48 copies handed out not counted" in text_of(at_desk(packer).get(trace_page(bags[1][0])))
