"""Looking at the first sheet before anything is made."""

from __future__ import annotations

import io
import re
from html import unescape

import pytest
import zxingcpp
from django.test import Client
from PIL import Image

from guides.models import GuideVersion, JobRun, Lot, PackingRun, User
from tests.factories import ValveVersionFactory, published
from tests.factories.packed import packed

from .test_packing import PACK, paper_folder, sent  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db


@pytest.fixture
def bag(db: None) -> tuple[Lot, GuideVersion]:
    return packed(published(ValveVersionFactory()), name="RW-091")


@pytest.fixture
def desk(at_desk, packer: User) -> Client:
    return at_desk(packer)


def look(desk: Client, bag: tuple[Lot, GuideVersion], **fields: str):
    form = sent(f"{bag[1].pk}-en", **fields)
    form["_look"] = form.pop("_make")
    return desk.post(f"{PACK}?lot=RW-091", form)


def shown(page) -> list[str]:
    return [unescape(source) for source in re.findall(r'<img src="([^"]+)"', page.content.decode())]


def test_both_sides_are_shown_and_nothing_is_ordered(desk: Client, bag) -> None:
    page = look(desk, bag, copies="7", skip="1")
    assert page.status_code == 200
    sides = [desk.get(address) for address in shown(page)]
    assert [side.headers["Content-Type"] for side in sides] == ["image/png"] * 2
    front = Image.open(io.BytesIO(sides[0].content))
    # A4 at 96 dpi, within a pixel: 210 / 25.4 × 96 = 793.7 by 297 / 25.4 × 96 = 1122.5.
    assert abs(front.width - 794) <= 1
    assert abs(front.height - 1123) <= 1
    # Four places, one used up: three cards, each with its symbol.
    enlarged = front.resize((front.width * 2, front.height * 2))
    assert len(zxingcpp.read_barcodes(enlarged, formats=zxingcpp.BarcodeFormat.QRCodeModel2)) == 3
    assert f'name="{bag[1].pk}-en-copies" value="7"' in page.content.decode()
    assert not PackingRun.objects.exists()
    assert not JobRun.objects.exists()


def test_one_side_has_one_picture(desk: Client, bag) -> None:
    assert len(shown(look(desk, bag, paper="card-a7"))) == 1


def test_an_order_that_cannot_be_says_why_in_place_of_the_picture(desk: Client, bag) -> None:
    for fields, said in (({"copies": "0"}, "greater than or equal to 1"), ({"skip": "4"}, "A sheet has 4 places")):
        page = look(desk, bag, **fields)
        assert said in page.content.decode()
        assert shown(page) == []


def test_a_text_that_does_not_fit_is_named_before_anything_is_made(desk: Client) -> None:
    bag = packed(published(ValveVersionFactory(title="W" * 80)), name="RW-091")
    page = look(desk, bag)
    assert page.status_code == 409
    assert "Title" in page.content.decode()


def test_crafted_addresses_meet_nothing(desk: Client, bag) -> None:
    (front, _back) = shown(look(desk, bag))
    for crafted in (front.replace("side=0", "side=9"), front.replace("side=0", "side=-1"), front.split("?")[0],
                    front.replace("RW-091", "RW-999"), front.replace("copies=48", "copies=0")):  # fmt: skip
        assert desk.get(crafted).status_code == 404


@pytest.mark.parametrize("role", ["reader", "shop"])
def test_others_do_not_look(at_desk, desk: Client, bag, role: str) -> None:
    (front, _back) = shown(look(desk, bag))
    assert at_desk(role=role).get(front).status_code == 403
