"""Own sizes and label stock at the desk: written down, refused by name, tried, and offered in the packing room."""

from __future__ import annotations

import pytest

from guides.models import LabelStock, PrintFormat
from tests.factories import LabelStockFactory, PrintFormatFactory, UserFactory
from tests.factories.packed import packed

pytestmark = pytest.mark.django_db
SIZES, STOCK = "/admin/guides/printformat/", "/admin/guides/labelstock/"
CARD = {"name": "Tall card", "layout": "card-a7", "width_mm": "80", "height_mm": "120", "margin_mm": "5"}
CARD |= {"symbol_mm": "24", "bleed_mm": "3"}


@pytest.fixture(autouse=True)
def paper_folder(settings, tmp_path) -> None:
    papers = {**settings.STORAGES["papers"], "OPTIONS": {"location": tmp_path / "papers"}}
    settings.STORAGES = {**settings.STORAGES, "papers": papers}


def test_a_size_is_added_tried_and_offered_without_code(at_desk):
    desk = at_desk()
    packed(name="RW-091")
    assert desk.post(f"{SIZES}add/", CARD).status_code == 302
    card = PrintFormat.objects.get()
    assert "Try it" in desk.get(f"{SIZES}{card.pk}/change/").content.decode()
    tried = desk.get(f"{SIZES}{card.pk}/try.pdf")
    assert (tried.status_code, tried.headers["Content-Type"]) == (200, "application/pdf")
    stock = LabelStockFactory()
    room = at_desk(role="packer").get("/admin/guides/packingrun/pack/", {"lot": "RW-091"}).content.decode()
    assert f'value="{card.key}">Tall card<' in room
    assert f'value="{stock.key}">{stock.name}<' in room


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"width_mm": "39"}, "Width: 40 to 450 mm."),
        ({"margin_mm": "3"}, "Margin: 4 to 50 mm"),
        ({"symbol_mm": "71"}, "Code: at least 20 mm, and no larger than what the margins leave."),
        ({"bleed_mm": "6"}, "Bleed: 0 to 5 mm"),
        ({"layout": "poster"}, "not one of the available choices"),
    ],
)
def test_a_size_that_cannot_be_is_refused_by_name_and_kept(at_desk, fields, said):
    page = at_desk().post(f"{SIZES}add/", {**CARD, **fields}).content.decode()
    assert said in page
    assert 'value="Tall card"' in page
    assert not PrintFormat.objects.exists()


def test_a_size_too_small_for_the_guide_says_which_field_when_tried(at_desk):
    desk = at_desk()
    packed(name="RW-091")
    card = PrintFormatFactory(layout="insert-a6", width_mm=60, height_mm=60, symbol_mm=24)
    answer = desk.get(f"{SIZES}{card.pk}/try.pdf", follow=True)
    assert "no room left for it on the front" in answer.content.decode()


def test_without_a_lot_to_try_it_with_that_is_said(at_desk):
    card = PrintFormatFactory()
    assert "There is no lot with a published guide yet" in (
        at_desk().get(f"{SIZES}{card.pk}/try.pdf", follow=True).content.decode()
    )


def test_stock_is_added_and_its_outlines_printed(at_desk):
    desk = at_desk()
    row = LabelStockFactory.build()
    names = ("name", "sheet", "width_mm", "height_mm", "columns", "rows", "left_mm", "top_mm")
    fields = {name: getattr(row, name) for name in (*names, "gutter_x_mm", "gutter_y_mm")}
    assert "wider than the sheet" in desk.post(f"{STOCK}add/", {**fields, "columns": 4}).content.decode()
    assert desk.post(f"{STOCK}add/", fields).status_code == 302
    stock = LabelStock.objects.get()
    assert desk.get(f"{STOCK}{stock.pk}/try.pdf").headers["Content-Type"] == "application/pdf"


def test_the_test_sheet_is_offered_for_each_sheet_and_edge(at_desk):
    desk = at_desk(UserFactory(role="packer"))
    page = desk.get(SIZES).content.decode()
    assert page.count("test-sheet/?sheet=") == 4
    assert desk.get(f"{SIZES}test-sheet/?sheet=letter&flip=short").headers["Content-Type"] == "application/pdf"
    assert desk.get(f"{SIZES}test-sheet/?sheet=a3").status_code == 404
