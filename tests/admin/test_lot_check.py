"""Checking bag and insert at the desk: by scanner, by keys, by photo, by camera; with a script and without."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from playwright.sync_api import Page, expect

from guides.lifecycle import recall
from guides.models import GuideVersion, Lot, LotCheck, User
from guides.presenters import addresses
from guides.queries import lots
from tests.browser import Tab, filming
from tests.factories.packed import packed
from tests.media.test_symbols import photo, symbol

pytestmark = pytest.mark.django_db
PAIR, READ = "/admin/guides/lotcheck/pair/", "/admin/guides/lotcheck/read/"

Bag = tuple[Lot, GuideVersion]


def codes(bag: Bag) -> tuple[str, str]:
    """What the bag's label and its insert carry."""
    lot, version = bag
    code = lots.code_of(lot)
    return (
        str(addresses.of_lot(code)),
        str(addresses.of_insert(code, version.guide.number, version.revision or 0, "en")),
    )


@pytest.fixture
def bag(db: None) -> Bag:
    return packed(name="RW-091")


@pytest.fixture
def other(db: None) -> Bag:
    return packed(name="OM-084")


@pytest.fixture
def desk(at_desk, packer: User) -> Client:
    return at_desk(packer)


def picture(*texts: str) -> SimpleUploadedFile:
    taken: io.BytesIO = photo(*(symbol(text, 260) for text in texts))
    return SimpleUploadedFile("photo.jpg", taken.getvalue(), "image/jpeg")


def test_without_a_script_each_code_is_a_page(desk: Client, bag: Bag, other: Bag, text_of) -> None:
    on_bag, on_insert = codes(bag)
    first = desk.post(PAIR, {"first": "", "code": on_bag})
    assert "Now the insert" in text_of(first)
    assert f'value="{on_bag}"' in first.content.decode()
    assert "SAME LOT RW-091 + RW-091" in text_of(desk.post(PAIR, {"first": on_bag, "code": on_insert}))
    wrong = desk.post(PAIR, {"first": on_bag, "code": codes(other)[1].lower()})
    assert "WRONG LOT RW-091 + OM-084" in text_of(wrong)
    assert 'name="first" value=""' in wrong.content.decode()  # the next pair begins
    assert list(LotCheck.objects.order_by("pk").values_list("answer", flat=True)) == ["same", "wrong"]


def test_an_unknown_code_says_so_at_once_and_is_kept(desk: Client, text_of) -> None:
    page = text_of(desk.post(PAIR, {"first": "", "code": "milk"}))
    assert "UNKNOWN CODE" in page
    assert "not one of ours: “milk”" in page
    assert LotCheck.objects.get().bag_text == "milk"


def test_a_bag_of_a_recalled_lot_stops_at_once(desk: Client, bag: Bag, publisher: User, text_of) -> None:
    recall.recall(bag[0], by=publisher, reason="A screw may be in the coffee.")
    page = text_of(desk.post(PAIR, {"first": "", "code": codes(bag)[0]}))
    assert "RECALLED" in page
    assert "A screw may be in the coffee." in page


def test_nothing_read_and_far_too_much_lose_nothing(desk: Client, bag: Bag, text_of) -> None:
    on_bag = codes(bag)[0]
    assert "Nothing was read" in text_of(desk.post(PAIR, {"first": "", "code": " "}))
    answer = desk.post(PAIR, {"first": on_bag, "code": "x" * 301})
    assert "at most 300 characters" in text_of(answer)
    assert f'value="{on_bag}"' in answer.content.decode()


def test_a_photo_of_both_is_answered_and_one_of_one_begins(desk: Client, bag: Bag, text_of) -> None:
    on_bag, on_insert = codes(bag)
    assert "SAME LOT" in text_of(desk.post(PAIR, {"first": "", "photo": picture(on_insert, on_bag)}))
    assert "Now the insert" in text_of(desk.post(PAIR, {"first": "", "photo": picture(on_bag)}))
    assert "SAME LOT" in text_of(desk.post(PAIR, {"first": on_bag, "photo": picture(on_insert)}))
    assert set(LotCheck.objects.values_list("means", flat=True)) == {"photo"}


def test_a_photo_that_cannot_be_used_says_why_and_keeps_the_first_code(desk: Client, bag: Bag, text_of) -> None:
    on_bag, on_insert = codes(bag)
    for bad, said in (
        (picture(), "No code can be read"),
        (picture(on_bag, on_insert), "more codes on this photo"),
        (SimpleUploadedFile("a.jpg", b"milk"), "no JPEG, PNG or WebP"),
    ):
        answer = desk.post(PAIR, {"first": on_bag, "photo": bad})
        assert said in text_of(answer)
        assert f'value="{on_bag}"' in answer.content.decode()
    assert not LotCheck.objects.exists()


def test_a_frame_is_read_and_not_kept(desk: Client, bag: Bag) -> None:
    assert desk.post(READ, {"photo": picture(*codes(bag))}).json() == {"codes": list(codes(bag))}
    assert desk.post(READ, {}).json() == {"codes": []}
    answer = desk.post(READ, {"photo": SimpleUploadedFile("a.jpg", b"milk")})
    assert (answer.status_code, answer.json()["codes"]) == (400, [])
    assert desk.get(READ).status_code == 405
    assert not LotCheck.objects.exists()


@pytest.mark.parametrize("role", ["reader", "shop"])
def test_others_do_not_check(at_desk, role: str) -> None:
    desk = at_desk(role=role)
    assert desk.get(PAIR).status_code == desk.post(PAIR, {"code": "milk"}).status_code == 403
    assert desk.post(READ, {}).status_code == 403


# In a browser


@pytest.fixture
def logged_in(live_server, packer: User) -> dict[str, str]:
    client = Client()
    client.force_login(packer)
    return {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}


def scan(page: Page, text: str) -> None:
    """What a hand scanner does: it types, wherever the focus is, and presses Enter."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1280])
def test_a_scanner_needs_no_touch(tab: Tab, bag: Bag, other: Bag, logged_in, width: int) -> None:
    page = tab.page
    page.context.add_cookies([logged_in])
    tab.resize(width)
    tab.go("/admin/")
    page.get_by_role("link", name="Check bag and insert").click()  # one click from the start
    expect(page.get_by_label("Code")).to_be_focused()
    (on_bag, on_insert), (_label, strange) = codes(bag), codes(other)
    word = page.locator(".word")
    for second, said, heard in ((on_insert, "SAME LOT", "same"), (strange, "WRONG LOT", "wrong")):
        scan(page, on_bag)
        expect(page.locator(".ask")).to_have_text("Now the insert")
        scan(page, second.lower())
        expect(word).to_have_text(said)
        assert page.evaluate("document.documentElement.dataset.heard") == heard
        screen = page.viewport_size
        box = page.locator(".answer").bounding_box()
        assert screen is not None
        assert box is not None
        # The whole width, three quarters of the height, in letters that are read from across the room.
        assert box["width"] >= screen["width"] * 0.98
        assert box["height"] >= screen["height"] * 0.75
        assert page.evaluate("parseFloat(getComputedStyle(document.querySelector('.word')).fontSize)") >= 48
        assert page.evaluate("document.querySelector('.word').scrollWidth") <= screen["width"]
    # The focus is lost to a link: the scanner still arrives.
    page.get_by_role("link", name="Log").focus()
    scan(page, on_bag)
    expect(page.locator(".lots")).to_contain_text("RW-091")
    assert tab.quiet()
    assert tab.axe() == []
    tab.refused.clear()
    assert tab.overflow() <= 0
    assert list(LotCheck.objects.order_by("pk").values_list("answer", flat=True)) == ["same", "wrong"]


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_scanner_quicker_than_the_site_mixes_nothing_up(tab: Tab, bag: Bag, other: Bag, logged_in) -> None:
    page = tab.page
    page.context.add_cookies([logged_in])
    tab.go(PAIR)
    expect(page.get_by_label("Code")).to_be_focused()
    for one, two in ((bag, bag), (bag, other), (other, other)):
        scan(page, codes(one)[0])
        scan(page, codes(two)[1])
    expect(page.locator(".lots")).to_have_text("OM-084 + OM-084")
    assert list(LotCheck.objects.order_by("pk").values_list("answer", flat=True)) == ["same", "wrong", "same"]


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_camera_that_sees_both_gets_the_answer(browser, live_server, tmp_path, bag: Bag, logged_in) -> None:
    """Chromium's pretended camera shows a film of one picture; this build has no reader of its own, so frames are
    sent."""
    film = tmp_path / "table.mjpeg"
    film.write_bytes(photo(*(symbol(text, 300) for text in codes(bag))).getvalue() * 2)
    with filming(browser, film) as camera:
        context = camera.new_context(permissions=["camera"])
        context.add_cookies([logged_in])
        page = context.new_page()
        page.goto(live_server.url + PAIR)
        page.get_by_role("button", name="Use the camera").click()
        expect(page.locator(".word")).to_have_text("SAME LOT", timeout=20_000)
        page.get_by_role("button", name="Use the camera").click()
        expect(page.locator("video")).to_be_hidden()
    assert LotCheck.objects.get().means == "camera"


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_without_a_camera_it_says_what_does_as_well(tab: Tab, bag: Bag, logged_in) -> None:
    tab.page.context.add_cookies([logged_in])
    tab.page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    tab.go(PAIR)
    expect(tab.page.get_by_text("A live view needs an address with https.")).to_be_visible()
    expect(tab.page.get_by_role("button", name="Use the camera")).to_be_hidden()
