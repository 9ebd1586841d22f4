"""What is never printed, and that the refusal says what to do."""

import pytest

from guides.documents.insert import InsertRefused, insert_pdf
from guides.lifecycle.assign import hold
from guides.lifecycle.recall import recall
from guides.lifecycle.withdraw import withdraw
from guides.models import Address, Assignment
from tests.factories import GuideVersionFactory, LotFactory, UserFactory, published
from tests.factories.packed import packed


def refused(lot, version, language: str = "en") -> str:
    with pytest.raises(InsertRefused) as refusal:
        insert_pdf(lot, version, language)
    return str(refusal.value)


def test_a_recalled_lot_even_where_its_insert_is_kept(bag):
    lot, version = bag
    insert_pdf(lot, version, "en")
    recalled = recall(lot, by=UserFactory(role="publisher"), reason="A screw is missing from the cooling tray.")
    assert "Lot RW-078 is recalled" in refused(recalled, version)


def test_a_draft(bag):
    draft = GuideVersionFactory(guide__coffee=bag[0].coffee)
    assert "is not published (draft)" in refused(bag[0], draft)


def test_a_withdrawn_guide(bag):
    lot, version = bag
    withdrawn = withdraw(version, by=UserFactory(role="publisher"), reason="The valve sticks.")
    assert "is not published (withdrawn)" in refused(lot, withdrawn)


def test_a_lot_without_a_code(bag):
    bare = LotFactory(coffee=bag[0].coffee, name="RW-079")
    assert not Address.objects.filter(lot=bare).exists()
    assert "Lot RW-079 has no address code" in refused(bare, bag[1])


def test_a_guide_that_the_lot_does_not_show(bag):
    other = published(guide__coffee=bag[0].coffee)
    assert "is not shown for lot RW-078" in refused(bag[0], other)


def test_a_guide_held_for_the_lot(bag):
    lot, version = bag
    row = Assignment.objects.get(lot=lot)
    hold(row, by=UserFactory(role="publisher"), reason="Drains late with this crop.")
    assert "is not shown for lot RW-078" in refused(lot, version)


def test_a_language_the_guide_has_no_words_in(roastery):
    assert "no words in this language (fi)" in refused(*packed(), "fi")


def test_a_site_address_that_no_code_can_hold(bag, settings):
    settings.PUBLIC_BASE_URL = "http://brew_guides.test"
    assert "PUBLIC_BASE_URL" in refused(*bag)


def test_a_machine_without_the_engine(bag, monkeypatch):
    def missing() -> None:
        raise OSError("cannot load library 'libpangoft2-1.0-0'")

    monkeypatch.setattr("guides.documents.render._engine", missing)
    monkeypatch.setattr("guides.documents.engine_needs._loads", lambda library: "pangoft2" not in library)
    assert "sudo apt-get install libpangoft2-1.0-0" in refused(*bag)
