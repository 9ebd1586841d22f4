"""Tasting blind without an account: places by a signed address, notes once and before the reveal, guards in front."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
import time_machine
from django.utils import timezone

from guides.lifecycle.tastings.reveal import reveal
from guides.models import CupNote, Taster
from guides.presenters import tasting_addresses
from guides.public import guards
from tests.factories import LotFactory, UserFactory
from tests.factories.tastings import opened, tasted

from . import world

pytestmark = pytest.mark.django_db
HERE = {"Origin": "http://testserver"}


@pytest.fixture(autouse=True)
def clock() -> Iterator[time_machine.Traveller]:
    world.roastery()
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as traveller:
        yield traveller


def join_at(tasting) -> str:
    return f"/en/taste/{tasting_addresses.token(tasting.number)}/"


def fill(client, clock, where: str, *, seconds: int = 10, headers=HERE, **fields):
    """Open a form, take a person's time, send it."""
    found = re.search(r'name="token" value="([^"]*)"', client.get(where).text)
    clock.shift(seconds)
    return client.post(where, {"token": found[1] if found else "", **fields}, headers=headers)


def seat(client, clock, tasting, name: str = "") -> str:
    answer = fill(client, clock, join_at(tasting), name=name)
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"]


def test_by_its_number_or_its_code_a_phone_comes_to_the_table(client):
    tasting = opened()
    assert client.get("/en/taste/", {"number": tasting.number}).headers["Location"] == join_at(tasting)
    scanned = tasting_addresses.printed(tasting.number)
    path = scanned.removeprefix("HTTP://GUIDES.TEST")
    assert client.get(path, headers={"Accept-Language": "sv"}).headers["Location"] == join_at(tasting).replace(
        "/en/", "/sv/"
    )


def test_a_number_that_is_none_says_so_and_is_kept(client):
    answer = client.get("/en/taste/", {"number": "111111"})
    assert answer.status_code == 404
    assert "No tasting has this number" in answer.text
    assert 'value="111111"' in answer.text


def test_numbers_are_not_guessed_through(client, clock):
    codes = [client.get("/en/taste/", {"number": str(200_000 + n)}).status_code for n in range(62)]
    assert codes == [404] * 60 + [429] * 2


def test_a_taster_gets_a_place_writes_and_chooses_and_leaves_no_trace(client, clock):
    tasting = opened()
    place = seat(client, clock, tasting, name="T. A.")
    taster = Taster.objects.get()
    first, second = taster.order
    page = client.get(place)
    assert page.text.index(f">{first}<") < page.text.index(f">{second}<")
    answer = fill(client, clock, place, **{f"note-{first}": "Honey", "choice": second})
    assert answer.status_code == 303
    assert CupNote.objects.get().text == "Honey"
    taster.refresh_from_db()
    assert taster.choice.code == second
    for response in (page, answer, client.get(place)):
        assert not response.cookies
        assert response.headers["Cache-Control"] == "no-store"
    assert {field.name for field in Taster._meta.concrete_fields} == {
        "id", "tasting", "seat", "name", "order", "joined_at", "sent_at", "choice",
    }  # fmt: skip


def test_nothing_typed_is_lost_when_the_choice_is_missing(client, clock):
    place = seat(client, clock, opened())
    code = Taster.objects.get().order[0]
    answer = fill(client, clock, place, **{f"note-{code}": "Honey & <b>wax</b>"})
    assert answer.status_code == 422
    assert "Honey &amp; &lt;b&gt;wax&lt;/b&gt;</textarea>" in answer.text
    assert "Choose the cup you like best" in answer.text
    assert not CupNote.objects.exists()


def test_before_the_reveal_nobody_reads_what_is_in_the_cups(client, clock):
    lots = LotFactory.create_batch(2)
    tasting = opened(things=lots)
    place = seat(client, clock, tasting)
    fill(client, clock, place, choice=Taster.objects.get().order[0])
    for where in (join_at(tasting), place):
        text = client.get(where).text
        assert not [lot.name for lot in lots if lot.name in text]
        assert tasting.title not in text
    reveal(tasting, by=UserFactory(role="roaster"))
    assert all(lot.name in client.get(place).text for lot in lots)


def test_late_and_double_notes_are_refused_and_so_is_joining_late(client, clock):
    tasting = opened()
    place, late = seat(client, clock, tasting), seat(client, clock, tasting)
    first = Taster.objects.get(seat=1).order[0]
    token = re.search(r'name="token" value="([^"]*)"', client.get(late).text)[1]
    once = re.search(r'name="token" value="([^"]*)"', client.get(place).text)[1]
    clock.shift(10)
    assert client.post(place, {"token": once, "choice": first}, headers=HERE).status_code == 303
    again = client.post(place, {"token": once, "choice": first}, headers=HERE)
    assert again.status_code == 409
    assert "in already" in again.text
    joining = re.search(r'name="token" value="([^"]*)"', client.get(join_at(tasting)).text)[1]
    clock.shift(10)
    reveal(tasting, by=UserFactory(role="roaster"))
    answer = client.post(late, {"token": token, "choice": first}, headers=HERE)
    assert answer.status_code == 409
    assert "Too late" in answer.text
    assert client.post(join_at(tasting), {"token": joining}, headers=HERE).status_code == 409
    assert "is over" in client.get(join_at(tasting)).text
    assert Taster.objects.filter(sent_at__isnull=False).count() == 1


@pytest.mark.parametrize(
    ("seconds", "headers", "more", "status"),
    [(1, HERE, {}, 400), (10, {"Origin": "http://evil.example"}, {}, 403), (10, HERE, {"homepage": "x"}, 400)],
)
def test_robots_get_no_place(client, clock, seconds, headers, more, status):
    answer = fill(client, clock, join_at(opened()), seconds=seconds, headers=headers, **more)
    assert answer.status_code == status
    assert not Taster.objects.exists()


def test_negative_control_without_the_guards_they_would(client, clock, monkeypatch):
    from guides.lifecycle.form_token import FormToken

    monkeypatch.setattr(guards, "check", lambda _request, _guard: FormToken("robot"))
    assert (
        fill(client, clock, join_at(opened()), seconds=1, headers={"Origin": "http://evil.example"}).status_code == 303
    )
    assert Taster.objects.exists()


def test_a_made_up_address_answers_like_every_unknown_one(client, clock):
    tasting = opened()
    place = seat(client, clock, tasting)
    other = place.replace("-1-", "-2-")
    for where in (other, f"/en/taste/{tasting.number}-AAAAAAAAAAAA/", "/en/taste/x/", "/t/111111-AAAAAAAAAAAA"):
        assert client.get(where).status_code == 404


def test_a_place_whose_tasting_was_deleted_is_not_found(client, clock):
    tasting = opened()
    place = seat(client, clock, tasting)
    tasting.delete()
    assert client.get(place).status_code == 404


def test_a_recall_stops_who_is_about_to_drink(client, clock):
    lots = LotFactory.create_batch(2)
    place = seat(client, clock, opened(things=lots))
    lots[0].recalled_at, lots[0].recalled_by, lots[0].recall_reason = timezone.now(), UserFactory(), "A screw."
    lots[0].save()
    assert "recalled. Don&#x27;t drink it" in client.get(place).text


def test_the_result_says_how_far_it_is_luck(client, clock):
    tasting = tasted()
    place = f"/en/taste/{tasting_addresses.token(tasting.number, 1)}/"
    reveal(tasting, by=UserFactory(role="roaster"))
    text = client.get(place).text
    assert "1 of 1 liked this best" in text
    assert "That may well be luck" in text
    assert "your choice" in text
