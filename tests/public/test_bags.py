"""What the code on a bag leads to, whatever has happened since it was printed."""

from __future__ import annotations

import datetime
import html as html_
import re

import pytest
from django.utils import timezone

from guides.lifecycle import assign, recall, withdraw
from guides.presenters.numbers import NO_BREAK
from tests.factories import LotFactory
from tests.factories.questions import answered

from . import world

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def house():
    return world.roastery()


def look(client, address: str, status: int = 200, **headers: str) -> str:
    response = client.get(address, headers={"Accept-Language": "en", **headers})
    assert response.status_code == status, address
    return html_.unescape(response.text).replace(NO_BREAK, " ")


@pytest.mark.parametrize("form", ["/L/{0}", "/L/{1}", "/l/{0}", "/l/{1}", "/L/{0}/", "/L/{2}"])
def test_a_code_answers_in_either_case_and_with_a_hyphen(client, form):
    lot, code = world.bag()
    world.guide_for(lot)
    text = look(client, form.format(code, code.lower(), f"{code[:4]}-{code[4:]}"))
    assert f"{code[:4]} {code[4:]}" in text
    assert lot.name in text


def test_a_bag_with_one_guide_shows_the_guide_itself(client):
    lot, code = world.bag()
    version = world.guide_for(lot)
    text = look(client, f"/L/{code}")
    assert version.title in text
    assert "Pour to 264 g" in text


def test_a_bag_with_two_guides_lets_its_reader_choose(client):
    lot, code = world.bag()
    first, second = world.guide_for(lot, title="In the Mast cone"), world.guide_for(lot, title="Over ice")
    text = look(client, f"/L/{code}")
    for version in (first, second):
        assert f"/L/{code}/{version.guide.number}.1.EN" in text
        assert version.title in text
    assert "Over ice" in look(client, f"/L/{code}/{second.guide.number}.1.EN")


def test_the_bag_says_where_it_stands_in_its_window_today(client):
    """Light roast, days 10 to 30: common practice, no source."""
    lot, code = world.bag(roasted_on=timezone.localdate() - datetime.timedelta(days=12))
    world.guide_for(lot)
    last = lot.roasted_on + datetime.timedelta(days=30)
    assert f"Day 12 since roasting: in its window. Best until {last.day} " in look(client, f"/L/{code}")


def test_a_lot_that_is_not_public_says_nothing_of_itself(client):
    lot, code = world.bag(is_public=False)
    version = world.guide_for(lot)
    text = look(client, f"/L/{code}")
    assert "not ready yet" in text
    for secret in (lot.name, lot.coffee.name, version.title):
        assert secret not in text


def test_a_bag_without_a_guide_is_told_to_wait_and_shown_the_coffee(client):
    lot, code = world.bag()
    text = look(client, f"/L/{code}")
    assert "not ready yet" in text
    assert lot.coffee.name in text


def test_a_held_guide_is_not_shown(client):
    lot, code = world.bag()
    version = world.guide_for(lot)
    assign.hold(world.assignment(lot), by=world.boss(), reason="Drains late.")
    text = look(client, f"/L/{code}/{version.guide.number}.1.EN")
    assert "not ready yet" in text
    assert "Pour to" not in text


def test_a_recalled_bag_shows_the_notice_and_no_recipe_on_every_address(client):
    lot, code = world.bag()
    version = world.guide_for(lot)
    recall.recall(lot, by=world.boss(), reason="A screw is missing from the cooling tray.")
    for address in (f"/L/{code}", f"/l/{code.lower()}/{version.guide.number}.1.en", f"/L/{code}?in=en"):
        text = look(client, address)
        assert "Don't grind it. Don't drink it." in text
        assert "A screw is missing from the cooling tray." in text
        assert "What to do" in text
        assert "Pour to" not in text


def test_a_recall_is_told_even_for_a_lot_that_is_not_public(client):
    lot, code = world.bag(is_public=False)
    recall.recall(lot, by=world.boss(), reason="A screw is missing.")
    assert "A screw is missing." in look(client, f"/L/{code}")


def test_a_card_learns_what_changed_since_it_was_printed(client):
    lot, code = world.bag()
    old = world.guide_for(lot)
    world.next_revision(old, grind_um=720, change_note="Coarser by 60 µm: the new crop drains slower.")
    text = look(client, f"/L/{code}/{old.guide.number}.1.EN")
    assert "Your card is revision 1; this page shows revision 2." in text
    assert "Revision 2 changed this one number: <b>grind 660 → 720" in text
    assert "Coarser by 60 µm: the new crop drains slower." in text
    assert "Your card" not in look(client, f"/L/{code}/{old.guide.number}.2.EN")
    assert "Your card" not in look(client, f"/L/{code}")


def test_a_card_two_revisions_old_hears_of_both_changes(client):
    lot, code = world.bag()
    old = world.guide_for(lot)
    world.next_revision(world.next_revision(old, change_note="Coarser."), change_note="Cooler.")
    assert "What changed: Coarser. · Cooler." in look(client, f"/L/{code}/{old.guide.number}.1.EN")


def test_a_card_whose_revision_was_withdrawn_says_why(client):
    lot, code = world.bag()
    old = world.guide_for(lot)
    world.next_revision(old, change_note="Cooler.")
    withdraw.withdraw(old, by=world.boss(), reason="The kettle was too hot.")
    text = look(client, f"/L/{code}/{old.guide.number}.1.EN")
    assert "The one on your card was withdrawn: The kettle was too hot." in text
    assert "Don't brew from this guide" not in text


def test_a_revision_never_published_gets_no_line(client):
    lot, code = world.bag()
    version = world.guide_for(lot)
    assert "Your card" not in look(client, f"/L/{code}/{version.guide.number}.9.EN")


def test_a_card_of_a_guide_not_given_for_this_bag_is_told_so(client):
    lot, code = world.bag()
    world.guide_for(lot)
    assert "The guide on your card is not given for this bag" in look(client, f"/L/{code}/999.1.EN")


def test_a_withdrawn_guide_shows_the_notice_first_and_the_nearest_guide(client):
    lot, code = world.bag()
    gone = world.guide_for(lot, title="Gone")
    other = world.coffee_with_guide(title="Elsewhere")
    withdraw.withdraw(gone, by=world.boss(), reason="The kettle was too hot.", replacement=other.guide)
    text = look(client, f"/L/{code}")
    assert "Don't brew from this guide any more. The kettle was too hot." in text
    assert f"/en/guides/{other.guide.slug}/" in text
    assert text.index("Withdrawn") < text.index("Pour to")


def test_a_withdrawn_guide_without_a_replacement_prefers_the_same_brewer(client):
    lot, code = world.bag()
    gone = world.guide_for(lot, title="Gone")
    world.guide_for(lot, title="Other brewer")
    same = world.guide_for(lot, title="Same brewer", brewer=gone.brewer)
    withdraw.withdraw(gone, by=world.boss(), reason="The kettle was too hot.")
    text = look(client, f"/L/{code}/{gone.guide.number}.1.EN")
    notice = text[: text.index("as it was")]
    assert f"/en/guides/{same.guide.slug}/" in notice


def test_a_pinned_revision_stays_when_a_newer_one_comes(client):
    lot, code = world.bag()
    old = world.guide_for(lot)
    assign.assign(lot, old.guide, by=world.boss(), pinned=old)
    world.next_revision(old, title="Newer")
    text = look(client, f"/L/{code}")
    assert "revision 1" in text
    assert "Newer" not in text


@pytest.mark.parametrize("tail", ["nonsense", "1.x.EN", "0.0.EN", "1.1", "1.1.EN.EN", "99999999.1.EN"])
def test_a_known_code_with_a_damaged_tail_still_answers(client, tail):
    lot, code = world.bag()
    version = world.guide_for(lot)
    assert version.title in look(client, f"/L/{code}/{tail}")


def test_the_language_comes_from_the_tail_then_the_device_then_the_roastery(client):
    lot, code = world.bag()
    number = world.guide_for(lot).guide.number

    def language(address: str, accept: str) -> str:
        response = client.get(address, headers={"Accept-Language": accept})
        return re.search(r'<html lang="(\w+)"', response.text)[1]

    assert language(f"/L/{code}/{number}.1.FI", "sv") == "fi"
    assert language(f"/L/{code}/{number}.1.DE", "sv") == "sv"
    assert language(f"/L/{code}", "de, sv-FI;q=0.8, en;q=0.5") == "sv"
    assert language(f"/L/{code}", "de") == "en"
    assert language(f"/L/{code}?in=fi", "sv") == "fi"
    assert language(f"/L/{code}?in=xx", "sv") == "sv"


def test_a_language_the_roastery_does_not_offer_is_not_given(client, house):
    house.languages = ["en", "sv"]
    house.save()
    lot, code = world.bag()
    number = world.guide_for(lot).guide.number
    response = client.get(f"/L/{code}/{number}.1.FI", headers={"Accept-Language": "fi"})
    assert '<html lang="en"' in response.text
    assert ">FI</a>" not in response.text


def test_each_language_link_of_a_bag_leads_to_that_language(client):
    lot, code = world.bag()
    number = world.guide_for(lot).guide.number
    for address in (f"/L/{code}", f"/L/{code}/{number}.1.EN"):
        text = look(client, address)
        for language in world.LANGUAGES:
            href = re.search(rf'<a href="([^"]+)" lang="{language}" hreflang', text)[1]
            assert f'<html lang="{language}"' in look(client, href)


def test_a_bag_is_looked_at_afresh_every_time_and_answers_304_when_nothing_changed(client):
    lot, code = world.bag()
    world.guide_for(lot)
    first = client.get(f"/L/{code}")
    assert first.headers["Cache-Control"] == "no-cache"
    assert "Accept-Language" in first.headers["Vary"]
    again = client.get(f"/L/{code}", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["Content-Security-Policy"] == first.headers["Content-Security-Policy"]
    recall.recall(lot, by=world.boss(), reason="A screw is missing.")
    assert client.get(f"/L/{code}", headers={"If-None-Match": first.headers["ETag"]}).status_code == 200


def test_a_bag_costs_few_queries(client, django_assert_max_num_queries):
    lot, code = world.bag()
    number = world.guide_for(lot).guide.number
    world.guide_for(lot, title="Another")
    with django_assert_max_num_queries(7):  # and one for the look at the stamp
        client.get(f"/L/{code}/{number}.1.EN")


def test_an_old_card_of_a_guide_with_answers_costs_no_query_more(client, django_assert_max_num_queries):
    lot, code = world.bag()
    first = world.guide_for(lot, grind_um=660)
    world.guide_for(lot, title="Another")
    answered(world.next_revision(first, grind_um=700, change_note="Coarser."), step=1)
    with django_assert_max_num_queries(7):
        text = client.get(f"/L/{code}/{first.guide.number}.1.EN").text
    assert "Since your last bag" in text
    assert "Coarser." in text


def test_a_lot_name_is_not_an_address(client):
    lot, _code = world.bag()
    world.guide_for(lot)
    look(client, f"/L/{lot.name}", status=404)


def test_a_lot_without_a_code_has_no_page(client):
    lot = LotFactory()
    world.guide_for(lot)
    look(client, "/L/00000000", status=404)
