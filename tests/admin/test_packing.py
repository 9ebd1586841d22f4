"""The packing room: from a scanned bag to the right paper in few clicks, and every copy counted."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.test import Client
from playwright.sync_api import expect

from guides.choices import RunState
from guides.documents import read_back
from guides.jobs import tasks
from guides.lifecycle import address, recall
from guides.lifecycle.draft import open_next
from guides.models import GuideVersion, Lot, PackingRun, User
from guides.presenters import addresses
from guides.queries import lots
from tests.browser import Tab
from tests.factories import LotFactory, UserFactory, published, ready_run
from tests.factories.packed import packed

pytestmark = pytest.mark.django_db
PACK = "/admin/guides/packingrun/pack/"


@pytest.fixture(autouse=True)
def paper_folder(settings, tmp_path) -> None:
    papers = {**settings.STORAGES["papers"], "OPTIONS": {"location": tmp_path / "papers"}}
    settings.STORAGES = {**settings.STORAGES, "papers": papers}


@pytest.fixture
def bag(db: None) -> tuple[Lot, GuideVersion]:
    # 12 kg, less 13.6 %, less 0.3 kg for tasting: 40 bags of 250 g.
    return packed(name="RW-091", green_kg="12.0", loss_percent="13.6", qc_kg="0.30", bag_g=250)


@pytest.fixture
def desk(at_desk, packer: User) -> Client:
    return at_desk(packer)


def sent(prefix: str, **other: str) -> dict[str, str]:
    version, language = prefix.split("-")
    usual = {"version": version, "language": language, "paper": "insert-a6", "sheet": "a4"}
    fields = {**usual, "copies": "48", "flip": "long", "skip": "0", **other}
    return {**{f"{prefix}-{name}": value for name, value in fields.items()}, "_make": prefix}


def test_any_way_to_name_a_lot_finds_it(desk: Client, bag: tuple[Lot, GuideVersion]) -> None:
    lot, version = bag
    code = lots.code_of(lot)
    insert = str(addresses.of_insert(code, version.guide.number, version.revision or 0, "en"))
    for text in ("RW-091", "rw-091 ", code, code.lower(), str(addresses.of_lot(code)), insert, insert.lower()):
        page = desk.get(PACK, {"lot": text}).content.decode()
        assert version.title in page
        # 40 bags, two for the file, three spares, up to full sheets of four (calculations.md, section 10).
        assert 'value="48"' in page


def test_what_is_no_lot_is_said_and_kept(desk: Client, bag: tuple[Lot, GuideVersion]) -> None:
    page = desk.get(PACK, {"lot": "RW-9x"}).content.decode()
    assert "“RW-9x” is neither a lot name nor an address code" in page
    assert 'value="RW-9x"' in page


def test_an_order_starts_the_work(desk: Client, bag: tuple[Lot, GuideVersion]) -> None:
    lot, version = bag
    answer = desk.post(f"{PACK}?lot=RW-091", sent(f"{version.pk}-en", sheet="letter", copies="7", skip="1"))
    run = PackingRun.objects.get()
    assert answer.headers["Location"] == f"/admin/guides/packingrun/{run.pk}/change/"
    assert (run.lot, run.version, run.sheet, run.copies, run.skip) == (lot, version, "letter", 7, 1)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"copies": "0"}, "greater than or equal to 1"),
        ({"copies": "5001"}, "less than or equal to 5000"),
        ({"skip": "4"}, "A sheet has 4 places; at most 3"),
        ({"paper": "wall-a4", "sheet": "letter"}, "larger than the sheet"),
        ({"paper": "poster"}, "not one of the available choices"),
        ({"version": "0"}, "not one of the available choices"),
    ],
)
def test_an_order_that_cannot_be_is_refused_with_what_was_typed(
    desk: Client, bag: tuple[Lot, GuideVersion], fields: dict[str, str], said: str
) -> None:
    answer = desk.post(f"{PACK}?lot=RW-091", sent(f"{bag[1].pk}-en", **fields))
    assert answer.status_code == 409
    assert said in answer.content.decode()
    assert not PackingRun.objects.exists()


def test_a_recalled_lot_offers_nothing(desk: Client, bag: tuple[Lot, GuideVersion], publisher: User) -> None:
    recall.recall(bag[0], by=publisher, reason="A screw may be in the coffee.")
    page = desk.get(PACK, {"lot": "RW-091"}).content.decode()
    assert "A screw may be in the coffee." in page
    assert "_make" not in page
    answer = desk.post(f"{PACK}?lot=RW-091", sent(f"{bag[1].pk}-en"))
    assert answer.status_code == 409
    assert not PackingRun.objects.exists()


def test_a_lot_without_a_guide_says_what_to_do(desk: Client) -> None:
    lot = LotFactory(name="KL-088")
    address.issue(lot)
    page = desk.get(PACK, {"lot": "KL-088"}).content.decode()
    assert "nothing to print" in page
    assert f"/admin/guides/lot/{lot.pk}/change/" in page


def test_paper_of_a_lot_recalled_since_is_not_handed_out(desk: Client, publisher: User) -> None:
    run = ready_run()
    recall.recall(run.lot, by=publisher, reason="A screw may be in the coffee.")
    answer = desk.get(f"/admin/guides/packingrun/{run.pk}/paper.pdf", follow=True)
    assert "Destroy what was" in answer.content.decode()


def test_paper_that_is_lost_or_damaged_is_not_handed_out(desk: Client) -> None:
    run = ready_run()
    answer = desk.get(f"/admin/guides/packingrun/{run.pk}/paper.pdf", follow=True)
    assert "not there or damaged" in answer.content.decode()


@pytest.mark.parametrize("role", ["reader", "shop"])
def test_others_do_not_pack(at_desk, role: str) -> None:
    assert at_desk(role=role).get(PACK).status_code == 403
    assert at_desk(role=role).get(f"/admin/guides/packingrun/{ready_run().pk}/paper.pdf").status_code == 403


def test_counts_that_do_not_add_up_come_back_as_typed(desk: Client) -> None:
    run = ready_run()
    counts = {"printed": "45", "spoiled": "1", "left_over": "0", "packed": "45", "bags": "44"}
    counts |= {"difference": "", "leftovers": "", "use_until": ""}
    answer = desk.post(f"/admin/guides/packingrun/{run.pk}/act/count/", counts)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Count again: 1 to find" in page
    assert 'value="1"' in page
    answer = desk.post(f"/admin/guides/packingrun/{run.pk}/act/count/", {**counts, "packed": "44"})
    assert answer.status_code == 302
    assert PackingRun.objects.get().state == RunState.COUNTED


def test_counting_starts_from_one_in_every_bag_that_has_none_yet(desk: Client, bag: tuple[Lot, GuideVersion]) -> None:
    first = ready_run(bag=bag, copies=48)
    page = desk.get(f"/admin/guides/packingrun/{first.pk}/act/count/")
    start = page.context["form"].initial
    assert start == {"printed": 48, "packed": 40, "left_over": 8, "bags": 40}
    assert "RW-091 fills 40 bags by weight; 0 were counted" in page.content.decode()
    counts = {"printed": "48", "spoiled": "3", "left_over": "8", "packed": "37", "bags": "37", "leftovers": "destroy"}
    assert desk.post(f"/admin/guides/packingrun/{first.pk}/act/count/", counts).status_code == 302
    again = ready_run(bag=bag, copies=3)
    start = desk.get(f"/admin/guides/packingrun/{again.pk}/act/count/").context["form"].initial
    assert start == {"printed": 3, "packed": 3, "left_over": 0, "bags": 3}


def test_a_wall_sheet_goes_into_no_bag(desk: Client) -> None:
    run = ready_run(paper="wall-a4", copies=1)
    address = f"/admin/guides/packingrun/{run.pk}/act/count/"
    assert "bags" not in desk.get(address).context["form"].fields
    counts = {"printed": "1", "spoiled": "0", "left_over": "0", "packed": "1"}
    assert desk.post(address, counts).status_code == 302
    assert PackingRun.objects.get().bags is None


def test_counting_says_that_a_newer_revision_is_out(desk: Client, text_of) -> None:
    run = ready_run()
    published(open_next(run.version.guide, by=UserFactory(role="roaster")))
    assert "Revision 2 is out since this was ordered" in text_of(
        desk.get(f"/admin/guides/packingrun/{run.pk}/act/count/")
    )


def test_what_is_not_counted_is_named_before_more_is_made(desk: Client, bag: tuple[Lot, GuideVersion], text_of) -> None:
    ready_run(bag=bag, copies=48)
    assert "48 copies of" in text_of(desk.get(PACK, {"lot": "RW-091"}))


# Every press of a pointer and of Enter, wherever a page took it.
COUNTING = """
for (const kind of ["pointerdown", "keydown"]) {
  addEventListener(kind, (event) => {
    if (kind === "keydown" && event.key !== "Enter") return;
    sessionStorage.setItem("pressed", 1 + Number(sessionStorage.getItem("pressed")));
  }, true);
}
"""


class Presses:
    """How often somebody pressed something since they were last asked, and how long that took."""

    def __init__(self, tab: Tab) -> None:
        self.tab, self.since = tab, time.monotonic()
        tab.page.evaluate("sessionStorage.removeItem('pressed')")

    def __call__(self) -> int:
        return int(self.tab.page.evaluate("Number(sessionStorage.getItem('pressed'))"))

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.since

    @contextmanager
    def stopped(self) -> Iterator[None]:
        """Stop the clock for what nobody at a desk does."""
        before = time.monotonic()
        yield
        self.since += time.monotonic() - before


def downloaded(tab: Tab) -> bytes:
    """Press "Open the PDF" and give what the browser gets."""
    with tab.page.context.expect_event("response", lambda answer: answer.url.endswith("paper.pdf")) as caught:
        tab.page.get_by_role("link", name="Open the PDF").click()
    assert caught.value.headers["content-type"] == "application/pdf"
    return tab.page.request.get(caught.value.url).body()


def worked(tab: Tab) -> None:
    """What a worker does meanwhile; the page finds out by itself."""
    expect(tab.page.get_by_role("status")).to_contain_text("Waits for its turn")
    tasks.perform.call(run_id=str(PackingRun.objects.latest("pk").job_id))
    expect(tab.page.get_by_role("link", name="Open the PDF")).to_be_visible(timeout=20_000)


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1280])
def test_from_a_code_to_the_right_paper_in_four_presses(
    tab: Tab, bag: tuple[Lot, GuideVersion], at_desk_in, width: int
) -> None:
    lot, version = bag
    code, page = lots.code_of(lot), tab.page
    insert = str(addresses.of_insert(code, version.guide.number, version.revision or 0, "en"))
    tab.resize(width)
    page.add_init_script(COUNTING)
    at_desk_in(tab, UserFactory(role="packer"))
    tab.go("/admin/")
    pressed = Presses(tab)
    # Typed from the bag by gloved hands on a desk; a hand scanner types the whole address just so.
    page.get_by_label("Lot name or code").focus()
    page.keyboard.type(code.lower() if width > 1000 else str(addresses.of_lot(code)))
    page.keyboard.press("Enter")
    expect(page.get_by_text("RW-091").first).to_be_visible()
    with pressed.stopped():
        assert_in_order(tab)
    page.get_by_role("button", name="Make the inserts").first.click()
    worked(tab)
    paper = downloaded(tab)
    print(f"{width} px: lot code to PDF in {pressed()} presses and {pressed.seconds:.1f} s")
    assert pressed() <= 4
    assert pressed.seconds < 60
    assert [symbol.text for symbol in read_back.read(paper).symbols] == [str(addresses.of_lot(code)), *[insert] * 48]
    # Three of them were spoiled.
    tab.go(f"/admin/guides/packingrun/{PackingRun.objects.get().pk}/change/")
    for noticed in (tab.strangers, tab.refused, tab.errors):
        noticed.clear()  # what the browser's own viewer of PDFs is made of
    assert_in_order(tab)
    pressed = Presses(tab)
    page.get_by_role("link", name="Print again").click()
    expect(page.get_by_label("Copies")).to_be_focused()
    page.keyboard.type("3")
    page.get_by_role("button", name="Print again").click()
    worked(tab)
    paper = downloaded(tab)
    print(f"{width} px: three of them again in {pressed()} presses and {pressed.seconds:.1f} s")
    assert pressed() <= 3
    assert [symbol.text for symbol in read_back.read(paper).symbols] == [str(addresses.of_lot(code)), *[insert] * 3]
    assert PackingRun.objects.latest("pk").mark == "R1"


def assert_in_order(tab: Tab) -> None:
    assert tab.quiet()
    assert tab.axe() == []
    tab.refused.clear()  # what axe itself was refused
    assert tab.overflow() <= 0
