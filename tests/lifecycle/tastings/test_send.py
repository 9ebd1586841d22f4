"""Notes are taken once, and before the reveal only."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from guides.lifecycle.errors import Refused
from guides.lifecycle.tastings.reveal import reveal
from guides.lifecycle.tastings.send import CANNOT_SAY, send
from guides.models import CupNote, Taster
from tests.factories import UserFactory
from tests.factories.tastings import opened, seated, tasted, token

pytestmark = pytest.mark.django_db


def test_notes_and_choice_are_kept_with_their_cups():
    taster = seated()
    first, second = taster.order
    send(taster, token=token(), notes={first: " Honey ", second: "", "999": "Not on the table"}, choice=second)
    taster.refresh_from_db()
    assert taster.sent_at
    assert taster.choice.code == second
    assert [(note.cup.code, note.text) for note in taster.notes.all()] == [(first, "Honey")]


def test_notes_count_once():
    tasting = tasted()
    taster = tasting.tasters.get()
    with pytest.raises(Refused, match="in already"):
        send(taster, token=token(), notes={taster.order[0]: "Other"}, choice=taster.order[1])
    assert CupNote.objects.get().text == "Tea rose"


def test_late_notes_are_refused():
    tasting = tasted()
    late = seated(tasting)
    reveal(tasting, by=UserFactory(role="roaster"))
    with pytest.raises(Refused, match="Too late"):
        send(late, token=token(), notes={}, choice=late.order[0])
    late.refresh_from_db()
    assert late.sent_at is None


def test_a_preference_may_be_none_and_an_odd_cup_is_guessed():
    taster = send(seated(), token=token(), notes={}, choice=CANNOT_SAY)
    assert taster.sent_at
    assert taster.choice is None
    with pytest.raises(Refused, match="guess if you cannot tell"):
        send(seated(opened("triangle")), token=token(), notes={}, choice=CANNOT_SAY)


@pytest.mark.parametrize("choice", ["", "999", "nonsense"])
def test_a_choice_is_one_of_the_cups(choice):
    with pytest.raises(Refused, match="Choose the cup"):
        send(seated(), token=token(), notes={}, choice=choice)


def test_too_long_a_note_names_its_cup():
    taster = seated()
    with pytest.raises(Refused) as refused:
        send(taster, token=token(), notes={taster.order[0]: "x" * 301}, choice=taster.order[0])
    assert [refusal.field for refusal in refused.value.refusals] == [f"note-{taster.order[0]}"]


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_pressed_twice_at_once_it_counts_once():
    taster = seated()
    start, said = threading.Barrier(2), []

    def press() -> None:
        start.wait()
        try:
            send(
                Taster.objects.get(pk=taster.pk),
                token=token(),
                notes={taster.order[0]: "Honey"},
                choice=taster.order[0],
            )
            said.append("taken")
        except Refused:
            said.append("refused")
        finally:
            connection.close()

    presses = [threading.Thread(target=press) for _ in range(2)]
    for each in presses:
        each.start()
    for each in presses:
        each.join()
    assert sorted(said) == ["refused", "taken"]
    assert CupNote.objects.count() == 1
