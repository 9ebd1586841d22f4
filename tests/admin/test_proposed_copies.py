"""The copies that are proposed suit the format and the sheet that are chosen, with and without scripts."""

from __future__ import annotations

import pytest
from django.test import Client
from playwright.sync_api import expect

from guides.documents.formats import CARD_A7, INSERT_A6, STICKER_50X30, WALL_A4
from guides.documents.proposed import proposed
from guides.documents.sheets import A4, LABELS_A4
from guides.models import GuideVersion, Lot, PackingRun, User
from tests.browser import Tab
from tests.factories import UserFactory
from tests.factories.packed import packed

from .test_packing import PACK, paper_folder, sent  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db


@pytest.fixture
def bag(db: None) -> tuple[Lot, GuideVersion]:
    # 12 kg, less 13.6 %, less 0.3 kg for tasting: 40 bags of 250 g.
    return packed(name="RW-091", green_kg="12.0", loss_percent="13.6", qc_kg="0.30", bag_g=250)


@pytest.fixture
def desk(at_desk, packer: User) -> Client:
    return at_desk(packer)


@pytest.mark.parametrize(
    ("paper", "on", "skip", "sheets", "copies"),
    [
        # 40 bags, two for the file, three spares (calculations.md, section 10); by hand from there.
        (INSERT_A6, A4, 0, 12, 48),
        (CARD_A7, A4, 0, 6, 48),
        (STICKER_50X30, LABELS_A4, 0, 2, 72),
        (STICKER_50X30, LABELS_A4, 30, 3, 78),
        (INSERT_A6, None, 0, 45, 45),
        # Nobody puts a wall sheet into every bag.
        (WALL_A4, A4, 0, 1, 1),
    ],
    ids=lambda value: getattr(value, "key", None),
)
def test_full_sheets_of_what_is_chosen(paper, on, skip: int, sheets: int, copies: int) -> None:
    counted = proposed(40, paper, on, skip)
    assert counted is not None
    assert (counted.sheets, counted.copies) == (sheets, copies)


def test_what_does_not_go_together_proposes_nothing() -> None:
    assert proposed(40, INSERT_A6, LABELS_A4) is None
    assert proposed(40, STICKER_50X30, LABELS_A4, 36) is None


def test_a_lot_whose_bags_nobody_knows_gets_one_full_sheet() -> None:
    counted = proposed(0, INSERT_A6, A4)
    assert counted is not None
    assert (counted.copies, counted.bags) == (4, 0)


STICKERS = {"paper": "sticker-50x30", "sheet": "labels-50x30-a4"}


def test_a_number_that_nobody_touched_follows_the_format(desk: Client, bag, text_of) -> None:
    prefix = f"{bag[1].pk}-en"
    page = text_of(desk.get(PACK, {"lot": "RW-091"}))
    assert "Proposed: 48 copies. 40 bags + 2 for the file + 3 spare = 45; 12 sheets of 4 hold 48." in page
    # As a browser without scripts sends it: the number as it was proposed, and the proposal.
    form = {**sent(prefix, **STICKERS), f"initial-{prefix}-copies": "48"}
    look = {**form, "_look": form["_make"]}
    del look["_make"]
    page = desk.post(f"{PACK}?lot=RW-091", look)
    assert f'name="{prefix}-copies" value="72"' in page.content.decode()
    assert f'name="initial-{prefix}-copies" value="72"' in page.content.decode()
    assert "2 sheets of 36 hold 72" in text_of(page)
    answer = desk.post(f"{PACK}?lot=RW-091", form, follow=True)
    assert PackingRun.objects.get().copies == 72
    assert "worked out anew" in text_of(answer)


def test_a_number_that_was_typed_stays(desk: Client, bag) -> None:
    prefix = f"{bag[1].pk}-en"
    desk.post(f"{PACK}?lot=RW-091", {**sent(prefix, **STICKERS, copies="50"), f"initial-{prefix}-copies": "48"})
    assert PackingRun.objects.get().copies == 50


def test_pages_ask_for_it_by_format(desk: Client, bag) -> None:
    asked = {"lot": "RW-091", **STICKERS, "flip": "long", "skip": "0"}
    address = "/admin/guides/packingrun/proposed/"
    assert 'data-copies="72"' in desk.get(address, asked).content.decode()
    for wrong in ({"sheet": "a9"}, {"lot": "RW-0"}, {"skip": "36"}, {"paper": "insert-a6"}):
        assert desk.get(address, {**asked, **wrong}).status_code == 404


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_the_page_says_it_as_soon_as_a_format_is_chosen(tab: Tab, bag, at_desk_in) -> None:
    page = tab.page
    at_desk_in(tab, UserFactory(role="packer"))
    tab.go(f"{PACK}?lot=RW-091")
    page.get_by_text("Format, sheet, copies").click()
    page.get_by_label("Format").select_option("card-a7")
    expect(page.get_by_text("6 sheets of 8 hold 48")).to_be_visible()
    page.get_by_label("Printed on").select_option("")
    expect(page.get_by_label("Copies")).to_have_value("45")
    page.get_by_label("Copies").fill("50")
    page.get_by_label("Printed on").select_option("a4")
    expect(page.get_by_text("6 sheets of 8 hold 48")).to_be_visible()
    expect(page.get_by_label("Copies")).to_have_value("50")
    assert tab.quiet()
