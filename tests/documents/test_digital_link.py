"""A coffee whose papers carry the GS1 Digital Link: GTIN and lot alone, read back from the finished PDF.

Outside check: ``biip`` reads what the symbol says (GS1 Digital Link Standard: URI Syntax).
"""

from __future__ import annotations

import pytest
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from django.test import Client

from guides.documents import read_back
from guides.documents.errors import InsertRefused
from guides.documents.insert import insert_pdf, inserts_pdf
from guides.models import GuideVersion, Lot
from guides.queries import lots
from tests.factories import published
from tests.factories.packed import packed

pytestmark = pytest.mark.django_db
GTIN = "09506000134352"  # of the range that GS1 uses in its own examples


@pytest.fixture
def linked(bag: tuple[Lot, GuideVersion]) -> tuple[Lot, GuideVersion]:
    lot, version = bag
    lot.coffee.gtin, lot.coffee.prints_digital_link = GTIN, True
    lot.coffee.save()
    return lot, version


def said(pdf: bytes) -> list[str]:
    return [symbol.text for symbol in read_back.read(pdf).symbols]


def test_the_symbol_carries_gtin_and_lot_alone_and_leads_to_the_bag(linked):
    lot, version = linked
    (text,) = said(insert_pdf(lot, version, "en"))
    assert text == f"HTTP://GUIDES.TEST/01/{GTIN}/10/{lot.name}"
    read = GS1DigitalLinkURI.parse(text).element_strings
    assert {element.ai.ai: element.value for element in read} == {"01": GTIN, "10": lot.name}
    led = Client().get(text.removeprefix("HTTP://GUIDES.TEST"))
    assert (led.status_code, led.headers["Location"]) == (307, f"/L/{lots.code_of(lot)}")


def test_several_inserts_of_a_lot_may_say_the_same(linked):
    lot, version = linked
    assert len(set(said(inserts_pdf(lot, [(version, "en"), (version, "en")])))) == 1


def test_without_the_choice_the_short_address_is_printed_and_both_live(bag):
    lot, version = bag
    lot.coffee.gtin = GTIN
    lot.coffee.save()
    (text,) = said(insert_pdf(lot, version, "en"))
    code = lots.code_of(lot)
    assert text == f"HTTP://GUIDES.TEST/L/{code}/{version.guide.number}.1.EN"
    lot.coffee.prints_digital_link = True
    lot.coffee.save()
    assert Client().get(text.removeprefix("HTTP://GUIDES.TEST")).status_code == 200
    assert Client().get(f"/01/{GTIN}/10/{lot.name}").status_code == 307


def test_a_lot_that_is_not_shown_is_not_printed_with_a_link_that_leads_nowhere(linked):
    lot, version = linked
    lot.is_public = False
    lot.save()
    with pytest.raises(InsertRefused, match="leads nowhere until it is"):
        insert_pdf(lot, version, "en")


def test_a_link_to_another_pack_is_held_back(linked, monkeypatch):
    lot, version = linked
    other, _version = packed(published())
    monkeypatch.setattr(lots, "by_pack", lambda gtin, name: other)
    with pytest.raises(InsertRefused, match=f"leads to lot {other} instead"):
        insert_pdf(lot, version, "en")


@pytest.mark.parametrize("scanned", ["HTTP://GUIDES.TEST/01/{gtin}/10/{lot}", "/01/{gtin}/10/{lot}?17=261231"])
def test_whoever_packs_finds_the_lot_by_it(linked, scanned):
    lot, _version = linked
    assert lots.find(scanned.format(gtin=GTIN, lot=lot.name)) == lot
    for wrong in (f"/01/{GTIN}", "/01/x", f"/01/{GTIN}/10/NEVER-1", "/01/"):
        assert lots.find(wrong) is None
