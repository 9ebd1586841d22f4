"""Many lots of one guide on the same sheets: each copy is what laying it out alone would have made."""

from __future__ import annotations

import datetime
import io
from collections import Counter

import cv2
import numpy
import pypdf
import pytest

from guides.documents import compose, many_lots, preflight, stamping
from guides.documents.formats import CARD_A7, FORMATS, INSERT_A6, STICKER_50X30, WITH_BLEED, Format
from guides.documents.insert import InsertRefused, address_on, inserts_pdf
from guides.documents.many_lots import ManyLots, many_pdf
from guides.documents.read_back import read
from guides.documents.sheets import A4
from guides.lifecycle import recall
from guides.models import GuideVersion, Lot, User
from guides.queries import lots
from tests.documents.printing import printed
from tests.factories.packed import packed

Bag = tuple[Lot, GuideVersion]
NAMES = ["RW-101", "RW-102-B", "A.1", "OUTER-MARK-ISLAND-20"]
SAME_TO_THE_EYE = 0.002  # share of the dots of a page


@pytest.fixture
def bags(bag: Bag) -> tuple[list[Lot], GuideVersion]:
    """Lots of one guide with names of all lengths, roasted on days of all lengths, too."""
    _lot, version = bag
    days = [datetime.date(2026, month, day) for month, day in ((9, 30), (5, 1), (12, 28), (1, 9))]
    made = [packed(version, name=name, roasted_on=day)[0] for name, day in zip(NAMES, days, strict=True)]
    return made, version


def distinct(bags: tuple[list[Lot], GuideVersion], paper: Format, language: str = "en") -> stamping.Stamped:
    made, version = bags
    return stamping.stamped(
        [bag for bag, _promise in many_lots.bags_for(made, version, language, paper)], compose.identity(), paper
    )


# One with a bleed stands for all of them.
PAPERS = {**FORMATS, "card-a7-bleed": WITH_BLEED["card-a7-bleed"]}


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS)
def test_a_stamped_copy_has_its_own_lot_and_looks_like_one_laid_out_alone(
    bags: tuple[list[Lot], GuideVersion], paper: Format
) -> None:
    made, version = bags
    # In Swedish the dates of another lot decide how large a sticker's type is.
    language = "en" if paper is STICKER_50X30 else "sv"
    stamped = distinct(bags, paper, language)
    found = {symbol.page: symbol.text for symbol in read(stamped.pdf).symbols}
    for lot, pages in zip(made, stamped.pages, strict=True):
        code = lots.code_of(lot)
        address = address_on(paper, lot, code, version, language)
        assert [found[page] for page in pages if page in found] == [str(address)]
        text = words_on(stamped.pdf, pages)
        assert lot.name in text
        assert f"{code[:4]} {code[4:]}" in text
        assert not [other.name for other in made if other != lot and other.name in text]
    # All share one size of type, that of the lot with most to say, so it is compared with that one dot by dot.
    longest = max(range(len(made)), key=lambda place: len(made[place].name))
    alone = inserts_pdf(made[longest], [(version, language)], paper)
    for side, page in enumerate(stamped.pages[longest]):
        single = printed(alone, side + 1, 150)
        assert share_that_differs(single, printed(stamped.pdf, page + 1, 150)) < SAME_TO_THE_EYE
        # Negative control: another lot's copy is another picture.
        if side == stamped.symbol_side:
            other = printed(stamped.pdf, stamped.pages[0][side] + 1, 150)
            assert share_that_differs(single, other) > SAME_TO_THE_EYE


def share_that_differs(one: numpy.ndarray, other: numpy.ndarray) -> float:
    assert one.shape == other.shape
    soft = [cv2.GaussianBlur(picture, (0, 0), 1.0).astype(int) for picture in (one, other)]
    return float((numpy.abs(soft[0] - soft[1]) > 96).mean())


def words_on(pdf: bytes, pages: tuple[int, ...]) -> str:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    text = " ".join(reader.pages[page].extract_text() for page in pages)
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split()).replace("- ", "-")


def test_sheets_hold_so_many_of_each_lot_in_order(bags: tuple[list[Lot], GuideVersion]) -> None:
    made, version = bags
    order = ManyLots(made, version, "en", CARD_A7, copies=3, sheet=A4, skip=1)
    pdf = many_pdf(order)
    assert pdf == many_pdf(order)
    texts = [str(address_on(CARD_A7, lot, lots.code_of(lot), version, "en")) for lot in made]
    found = read(pdf)
    # Eight places on a sheet, the first of them used up.
    assert Counter(symbol.text for symbol in found.symbols) == dict.fromkeys(texts, 3)
    assert Counter(symbol.page for symbol in found.symbols) == {0: 7, 1: 5}


def test_a_lot_that_needs_more_room_is_laid_out_alone(
    bags: tuple[list[Lot], GuideVersion], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stamping, "_length", lambda bag: -len(bag.sheet.lot.name))
    stamped = distinct(bags, CARD_A7)
    assert "OUTER-MARK-ISLAND-20" in words_on(stamped.pdf, stamped.pages[3])
    assert len(read(stamped.pdf).symbols) >= 4


def test_a_recalled_lot_stops_them_all(bags: tuple[list[Lot], GuideVersion], publisher: User) -> None:
    made, version = bags
    recall.recall(made[1], by=publisher, reason="A screw may be in the coffee.")
    again = [Lot.objects.get(pk=lot.pk) for lot in made]
    with pytest.raises(InsertRefused, match="Lot RW-102-B is recalled"):
        many_pdf(ManyLots(again, version, "en", INSERT_A6, copies=1, sheet=A4))


def test_two_lots_swapped_are_found_in_the_finished_file(
    bags: tuple[list[Lot], GuideVersion], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last look finds a copy too many of one lot; without it, the sheets would be handed over."""
    made, version = bags
    order = ManyLots(made, version, "en", CARD_A7, copies=2, sheet=A4)
    real = many_lots.impose

    def swapped(pdf: bytes, wanted: list, layout: object, **options: object) -> bytes:
        return real(pdf, [wanted[0], wanted[0], *wanted[2:]], layout, **options)

    monkeypatch.setattr(many_lots, "impose", swapped)
    with pytest.raises(InsertRefused, match="codes can be read, and there should be 8"):
        many_pdf(order)
    monkeypatch.setattr(preflight, "check_run", lambda *_: None)
    assert many_pdf(order)
