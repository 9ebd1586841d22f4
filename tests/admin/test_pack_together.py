"""Several lots in one order at the desk: scanned one after the other, one PDF, each counted by itself."""

from __future__ import annotations

import io

import pypdf
import pytest
from django.test import Client
from playwright.sync_api import expect

from guides.jobs import tasks
from guides.lifecycle import address, recall
from guides.models import GuideVersion, Lot, PackingRun, User
from guides.presenters import addresses
from guides.queries import lots
from tests.browser import Tab
from tests.factories import LotFactory, UserFactory
from tests.factories.packed import packed

from .test_packing import assert_in_order, paper_folder  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db
TOGETHER = "/admin/guides/packingrun/together/"
Bag = tuple[Lot, GuideVersion]


@pytest.fixture
def bags(db: None) -> list[Bag]:
    # 12 kg, less 13.6 %, less 0.3 kg: 40 bags of 250 g; 15 kg, less 14.6 %, less 0.3 kg: 50.
    weights = {"qc_kg": "0.30", "bag_g": 250}
    first = packed(name="RW-091", green_kg="12.0", loss_percent="13.6", **weights)
    return [first, packed(name="KL-088", green_kg="15.0", loss_percent="14.6", **weights)]


@pytest.fixture
def desk(at_desk, packer: User) -> Client:
    return at_desk(packer)


def sent(bags: list[Bag], **other: str) -> dict[str, str]:
    fields = {"paper": "card-a7", "sheet": "a4", "flip": "long", "skip": "0"}
    for lot, version in bags:
        fields |= {f"lot{lot.pk}-guide": f"{version.pk}-en", f"lot{lot.pk}-copies": "8"}
    return {**fields, **other}


def page_of(bags: list[Bag]) -> str:
    return TOGETHER + "?" + "&".join(f"lot={lot.name}" for lot, _version in bags)


def test_lots_come_by_name_or_code_and_once(desk: Client, bags: list[Bag], text_of) -> None:
    code = lots.code_of(bags[1][0])
    page = desk.get(TOGETHER, {"lot": ["rw-091", str(addresses.of_lot(code)), "RW-091", "  "]})
    assert page.context["order"].names == ["RW-091", "KL-088"]
    said = text_of(page)
    assert "40 bags + 2 for the file + 3 spare = 45; 12 sheets of 4 hold 48" in said
    assert "50 bags + 2 for the file + 3 spare = 55; 14 sheets of 4 hold 56" in said
    assert "Make the inserts of 2 lots" in said


def test_what_cannot_be_packed_is_said_and_left_out(desk: Client, bags: list[Bag], publisher: User, text_of) -> None:
    recall.recall(bags[1][0], by=publisher, reason="A screw may be in the coffee.")
    bare = LotFactory(name="OM-084")
    address.issue(bare)
    page = desk.get(TOGETHER, {"lot": ["RW-091", "KL-088", "OM-084", "RW-9x"]})
    assert page.context["order"].names == ["RW-091"]
    said = text_of(page)
    for expected in ("KL-088 is recalled: A screw may be in the coffee.", "shown for OM-084", "“RW-9x” is neither"):
        assert expected in said
    assert f"/admin/guides/lot/{bare.pk}/change/" in page.content.decode()


def test_lots_that_nobody_packed_are_offered(desk: Client, bags: list[Bag]) -> None:
    page = desk.get(TOGETHER, {"lot": "RW-091"}).content.decode()
    assert f"{TOGETHER}?lot=RW-091&amp;lot=KL-088" in page
    desk.post(page_of(bags), sent(bags))
    assert "lot=KL-088" not in desk.get(TOGETHER, {"lot": "RW-091"}).content.decode()


def test_an_order_makes_a_run_of_each(desk: Client, bags: list[Bag]) -> None:
    first, second = (f"lot{lot.pk}-copies" for lot, _version in bags)
    # The second lot's number is as it was proposed for A6; 50 bags go on seven sheets of eight small cards.
    fields = sent(bags, skip="2", **{second: "56", f"initial-{second}": "56", first: "7"})
    answer = desk.post(page_of(bags), fields)
    runs = list(PackingRun.objects.order_by("pk"))
    assert answer.headers["Location"] == f"/admin/guides/packingrun/{runs[0].pk}/change/"
    assert [(run.lot.name, run.copies, run.skip) for run in runs] == [("RW-091", 7, 2), ("KL-088", 56, 0)]
    assert runs[0].together == runs[1].together is not None


def test_nothing_typed_is_lost_when_it_is_refused(desk: Client, bags: list[Bag], text_of) -> None:
    field = f"lot{bags[1][0].pk}-copies"
    for wrong, said in (
        ({field: "0"}, "greater than or equal to 1"),
        ({"skip": "8"}, "at most 7"),
        ({field: "4993"}, "one file holds 5000"),
        ({f"lot{bags[1][0].pk}-guide": "7-en"}, "not one of the available choices"),
        ({"paper": "poster"}, "not one of the available choices"),
    ):
        answer = desk.post(page_of(bags), sent(bags, **wrong))
        assert answer.status_code == 409
        assert said in text_of(answer)
        assert f'name="lot{bags[0][0].pk}-copies" value="8"' in answer.content.decode()
    assert not PackingRun.objects.exists()


def test_a_lot_recalled_while_the_page_was_open_stops_the_order(desk: Client, bags: list[Bag], publisher: User) -> None:
    recall.recall(bags[1][0], by=publisher, reason="A screw may be in the coffee.")
    answer = desk.post(page_of(bags), sent(bags))
    assert answer.status_code == 409
    assert "KL-088 is recalled" in answer.content.decode()
    assert not PackingRun.objects.exists()


def test_first_sheets_of_all_are_looked_at(desk: Client, bags: list[Bag]) -> None:
    page = desk.post(page_of(bags), sent(bags, _look="1"))
    assert page.status_code == 200
    sides = [side for line in page.context["order"].lines for side in line.sides]
    assert [desk.get(side).headers["Content-Type"] for side in sides] == ["image/png"] * 2
    assert not PackingRun.objects.exists()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1280])
def test_a_packing_day_scanned_and_printed(tab: Tab, bags: list[Bag], at_desk_in, publisher: User, width: int) -> None:
    page = tab.page
    tab.resize(width)
    at_desk_in(tab, UserFactory(role="packer"))
    tab.go(TOGETHER)
    for lot, _version in bags:  # a hand scanner types and presses Enter; the field waits for the next one
        page.keyboard.type(str(addresses.of_lot(lots.code_of(lot))))
        page.keyboard.press("Enter")
        expect(page.get_by_role("group", name=lot.name)).to_be_visible()
    page.get_by_text("Format and sheet of all").click()
    page.get_by_label("Format").select_option("card-a7")
    expect(page.get_by_text("7 sheets of 8 hold 56")).to_be_visible()
    assert_in_order(tab)
    page.get_by_role("button", name="Make the inserts of 2 lots").click()
    expect(page.get_by_role("status")).to_contain_text("Waits for its turn")
    first, second = PackingRun.objects.order_by("pk")
    tasks.perform.call(run_id=str(first.job_id))
    expect(page.get_by_role("link", name="Open the PDF of all 2 lots")).to_be_visible(timeout=30_000)
    assert_in_order(tab)

    def begins(query: str = "") -> list[str]:
        paper = page.request.get(f"{tab.home}/admin/guides/packingrun/{first.pk}/paper.pdf{query}")
        reader = pypdf.PdfReader(io.BytesIO(paper.body()))
        slips = [each.extract_text() for each in reader.pages if "only for bags of lot" in each.extract_text()]
        return [name for slip in slips for name in ("RW-091", "KL-088") if name in slip]

    assert begins() == ["RW-091", "KL-088"]
    assert begins("?alone") == ["RW-091"]
    # Recalled since: its pages are left out, the other lot's are still to be had.
    recall.recall(second.lot, by=publisher, reason="A screw may be in the coffee.")
    page.reload()
    expect(page.get_by_text("Recalled since: KL-088.")).to_be_visible()
    assert begins() == ["RW-091"]
    page.get_by_role("link", name="KL-088").click()
    expect(page.get_by_text("This lot is recalled").first).to_be_visible()
