"""Whatever a scanner, a camera or fingers give is read as what was printed, and anything else as nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.models import GuideVersion, Lot
from guides.presenters import addresses, scanned
from guides.presenters.addresses import Edition
from guides.queries import lots
from tests.factories.packed import packed

pytestmark = pytest.mark.django_db
# A GTIN of the range that GS1 sets aside for examples (GS1 General Specifications, worked examples).
GTIN = "09520123456788"


@pytest.fixture
def bag(db: None) -> tuple[Lot, GuideVersion]:
    lot, version = packed(name="RW-091")
    lot.coffee.gtin = GTIN
    lot.coffee.save()
    return lot, version


def printed(bag: tuple[Lot, GuideVersion]) -> dict[str, str]:
    lot, version = bag
    code = lots.code_of(lot)
    return {
        "bag": str(addresses.of_lot(code)),
        "insert": str(addresses.of_insert(code, version.guide.number, version.revision or 0, "sv")),
        "pack": addresses.of_pack(GTIN, lot.name),
        "code": f"{code[:4]} {code[4:]}",
        "name": lot.name,
    }


@pytest.mark.parametrize("case", [str.upper, str.lower, lambda text: f"  {text}\r"])
@pytest.mark.parametrize("what", ["bag", "insert", "pack", "code", "name"])
def test_everything_printed_is_read_in_either_case(bag, what: str, case) -> None:
    read = scanned.read(case(printed(bag)[what]))
    assert read.lot == bag[0]
    version = bag[1]
    assert read.edition == (Edition(version.guide.number, version.revision, "sv") if what == "insert" else None)
    assert read.is_of_bag == (what == "bag")


def through_swedish_keys(text: str) -> str:
    """What a scanner that types as on a keyboard of the United States makes of a text where the computer expects a
    Swedish or Finnish one: the keys of ``:``, ``/`` and ``-`` carry ``Ö``, ``-`` and ``+`` there (from memory)."""
    return text.translate(str.maketrans({":": "Ö", "/": "-", "-": "+"}))


@pytest.mark.parametrize("what", ["bag", "insert", "pack"])
def test_a_scanner_set_to_another_keyboard_is_understood(bag, what: str) -> None:
    read = scanned.read(through_swedish_keys(printed(bag)[what].upper()))
    assert read.lot == bag[0]
    assert (read.edition is not None) == (what == "insert")


def test_a_bag_is_known_by_its_code_on_whatever_site_it_was_printed_for(bag) -> None:
    assert scanned.read(f"HTTPS://OLD.EXAMPLE/L/{lots.code_of(bag[0])}").lot == bag[0]
    assert scanned.read(f"https://id.example/01/{GTIN}/10/rw-091?utm=1").lot == bag[0]


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "milk", "RW-999", "https://guides.example/", "https://guides.example/L/", "http://[", "https:",
        f"https://guides.example/01/{GTIN[:-1]}0/10/RW-091", f"https://guides.example/01/{GTIN}/10/RW-999",
        f"https://guides.example/01/{GTIN}", "4006381333931", "https://guides.example/L/00000000/x.y.z",
    ],
)  # fmt: skip
def test_anything_else_is_no_code_of_ours(bag, text: str) -> None:
    read = scanned.read(text)
    assert (read.lot, read.edition, read.text) == (None, None, text.strip())


@given(st.text(max_size=60) | st.from_regex(r"https?://[^/]{0,20}/(L|01)/.{0,40}", fullmatch=True))
def test_no_text_is_too_odd(text: str) -> None:
    assert scanned.read(text).lot is None
