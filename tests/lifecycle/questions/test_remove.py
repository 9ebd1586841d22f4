"""Deleted is gone: from the table, the database's file, later backups, the trail and the log."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection

from guides.lifecycle.questions.answer import answer
from guides.lifecycle.questions.merge import merge
from guides.lifecycle.questions.remove import remove
from guides.models import Event, GuideVersion, Question, User
from guides.queries import answers
from tests.commands.conftest import backups  # noqa: F401 - a fixture
from tests.commands.site import Site
from tests.factories.questions import ANSWER, WORDS, answered, asked

pytestmark = [pytest.mark.django_db, pytest.mark.data]

SECRET = "Zanzibar-umbrella-4711"

LIFE = """
import logging
from django.conf import settings
from django.test import Client
from guides.models import Question
from tests.factories import UserFactory, published
from tests.factories.questions import asked

logging.disable(logging.NOTSET)
settings.DEBUG = False
settings.ALLOWED_HOSTS = ["*"]
settings.SECURE_SSL_REDIRECT = False
version = published()
question = asked(version, text="Call me, SECRET, about this pour.")
for number in range(40):
    asked(version, text=f"And what about pour {number}? " * 12)
desk = Client()
desk.force_login(UserFactory(role="publisher"))
page = f"/admin/guides/question/{question.pk}/"
def press(act, **data):
    assert desk.post(f"{page}act/{act}/", data).status_code == 302, act
assert "SECRET" in desk.get(page + "change/").content.decode()
assert desk.post(page + "act/answer/", {"shown": "SECRET", "answer": ""}).status_code == 409
press("answer", shown="SECRET asks", answer="Dear SECRET, slowly.", language="en")
press("keep-private")
"""
DELETE = """
press("delete")
assert not Question.objects.filter(pk=question.pk).exists()
"""
CARELESS = """
from django.db import connection
if connection.vendor == "sqlite":
    connection.cursor().execute("PRAGMA secure_delete=OFF")
"""


def traces(site: Site, folder: Path, script: str) -> dict[str, bool]:
    """Play a question's life and say where its words are found afterwards."""
    site.set_up()
    process = site.begin(script.replace("SECRET", SECRET))
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    found = {"log": SECRET in out + err}
    dumped = site.must("dumpdata", "--all")
    found["rows"] = SECRET in dumped
    for path in site.folder.glob("roastery.sqlite3*"):
        found["file"] = found.get("file", False) or SECRET.encode() in path.read_bytes()
    backup = site.backup(folder)
    found["backup"] = any(SECRET.encode() in blob for blob in _unpacked(backup))
    return found


def _unpacked(backup: Path) -> list[bytes]:
    with zipfile.ZipFile(backup) as archive:
        return [archive.read(name) for name in archive.namelist()]


def test_no_word_of_it_is_left_anywhere(new_site: Callable[[], Site], backups: Path) -> None:  # noqa: F811
    kept = traces(new_site(), backups, LIFE)
    gone = traces(new_site(), backups, LIFE + DELETE)
    careless = traces(new_site(), backups, CARELESS + LIFE + DELETE)
    print(f"{connection.vendor}: not deleted, found in {kept}; deleted, found in {gone}; carelessly, in {careless}")
    assert kept.pop("log") is False, "the log holds nothing at any time"
    if connection.vendor == "postgresql":  # its dump is packed; the rows say enough
        kept.pop("backup")
    assert all(kept.values()), "the negative control should find it"
    assert careless.get("file", True), "deleted without overwriting, it should be found in the file"
    assert not any(gone.values())


def test_the_trail_says_that_and_who_and_nothing_else(printed: GuideVersion, roaster: User) -> None:
    question = answered(printed, text=f"Call {SECRET}?")
    pk = question.pk
    remove(question, by=roaster)
    assert not Question.objects.exists()
    event = Event.objects.get(verb="deleted")
    assert (event.by, event.details["question"]) == (roaster, pk)
    everything = json.dumps([str(row) for row in Event.objects.values()])
    assert SECRET not in everything


def test_the_next_who_asked_takes_its_place_and_waits_to_be_let_through(printed: GuideVersion, roaster: User) -> None:
    first, second, third = asked(printed), asked(printed, text="Is it the gas?"), asked(printed, text="Gas?")
    for other in (second, third):
        merge(other, first, by=roaster)
    answer(first, by=roaster, shown=WORDS, answer=ANSWER)
    remove(first, by=roaster)
    second.refresh_from_db()
    assert (second.state, second.answer, second.shown) == ("open", ANSWER, "Is it the gas?")
    assert answers.beside(printed) == []
    answer(second, by=roaster, shown="Is it the gas?", answer=second.answer)
    assert [beside.askers for beside in answers.beside(printed)] == [2]
