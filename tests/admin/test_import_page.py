"""Bringing a list in at the desk: choose, read what it does, keep; nothing is lost on the way."""

from __future__ import annotations

import os
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from guides.models import Event, HeldList, Lot
from tests.exchange.listed import as_csv, malformed, rows
from tests.factories import CoffeeFactory, LotFactory, UserFactory

pytestmark = pytest.mark.django_db

PAGE = "/admin/guides/lot/import/"
FILES = 1000 if os.environ.get("FULL_COUNTS") == "1" else 40
AS_IT_IS = {"kind": "lots", "dates": "iso", "decimals": "auto"}


@pytest.fixture(autouse=True)
def _rope_walk() -> None:
    CoffeeFactory(code="RW")


def send(desk, data: bytes, address: str = PAGE, **choices: str):
    file = SimpleUploadedFile("lots.csv", data)
    return desk.post(address, {**AS_IT_IS, "file": file, "_look": "1", **choices})


def keep(desk, shown):
    return desk.post(shown.request["PATH_INFO"] + "?" + shown.request["QUERY_STRING"], {
        "_keep": "1", "shown": shown.context["digest"],
    })  # fmt: skip


def look(desk, data: bytes, **choices: str):
    return desk.get(send(desk, data, **choices).url)


def test_from_a_file_to_lots(at_desk, text_of) -> None:
    user = UserFactory(role="roaster")
    desk = at_desk(user)
    shown = look(desk, as_csv(rows(3)))
    assert "3 New" in text_of(shown)
    assert "Read as: CSV, UTF-8, comma." in text_of(shown)
    assert Lot.objects.count() == 0
    answer = keep(desk, shown)
    done = desk.get(answer.url)
    assert "From lots.csv: 3 new, 0 changed." in text_of(done)
    assert Lot.objects.count() == 3
    assert not HeldList.objects.exists()
    assert Event.objects.filter(by=user, lot__isnull=False).count() == 3


def test_old_and_new_are_shown(at_desk, text_of) -> None:
    desk = at_desk()
    keep(desk, look(desk, as_csv(rows(2))))
    shown = look(desk, as_csv(rows(2)).replace(b",250,", b",500,", 1))
    assert "bag, g: 250 → 500" in text_of(shown)
    assert "1 Changed" in text_of(shown)
    assert "1 Unchanged" in text_of(shown)


def test_a_refused_row_stands_with_its_column_and_nothing_can_be_kept(at_desk, text_of) -> None:
    desk = at_desk()
    shown = look(desk, as_csv(rows(2)).replace(b"RW-002,RW", b"RW-002,WK"))
    assert "coffee “WK”: There is none of this name here." in text_of(shown)
    assert b"_keep" not in shown.content
    answer = keep(desk, shown)
    assert answer.status_code == 409
    assert Lot.objects.count() == 0


def test_the_file_is_held_while_it_is_read_differently(at_desk, text_of) -> None:
    desk = at_desk()
    first = send(desk, as_csv(rows(1)).replace(b"2025-03-01", b"1.3.2025"))
    assert "choose that days come first" in text_of(desk.get(first.url))
    again = desk.post(first.url, {**AS_IT_IS, "dates": "day-first", "_look": "1"})
    assert "1 New" in text_of(desk.get(again.url))


def test_a_file_that_cannot_be_read_is_named(at_desk, text_of) -> None:
    desk = at_desk()
    said = text_of(look(desk, b'name,coffee\nRW-1,"RW\n'))
    assert "row 2, column coffee: The quotation mark that opens this cell is never closed." in said
    assert "Nothing was kept." in said


def test_what_changed_meanwhile_is_shown_anew(at_desk, text_of) -> None:
    desk = at_desk()
    shown = look(desk, as_csv(rows(2)))
    LotFactory(name="RW-001", coffee__code="WK")
    answer = keep(desk, shown)
    assert answer.status_code == 409
    assert "Somebody changed rows since this was shown." in text_of(answer)
    assert "1 Changed" in text_of(answer)
    assert Lot.objects.count() == 1


def test_bad_forms_come_back_with_a_reason(at_desk, text_of, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = at_desk()
    assert "File: choose one." in text_of(desk.post(PAGE, {**AS_IT_IS, "_look": "1"}))
    assert "File: larger than 2 MB." in text_of(send(desk, bytes(2_000_001)))
    assert send(desk, b"x", kind="tins").status_code == 400
    monkeypatch.setattr("guides.admin.lists.MOST_ROWS", 2)
    assert "More than 2 rows." in text_of(look(desk, as_csv(rows(3))))


def test_nobody_sees_what_another_sent(at_desk, text_of) -> None:
    address = send(at_desk(), as_csv(rows(1))).url
    assert "What lots.csv would do" not in text_of(at_desk().get(address))


def test_held_files_are_swept(at_desk) -> None:
    desk = at_desk()
    send(desk, as_csv(rows(1)))
    HeldList.objects.update(sent_at=timezone.now() - timedelta(hours=25))
    send(desk, as_csv(rows(1)))
    assert HeldList.objects.count() == 1


def test_damaged_files_never_break_the_page(at_desk) -> None:
    desk, answers = at_desk(), []
    desk.raise_request_exception = False
    for file in malformed(FILES, seed=9):
        sent = send(desk, file.data)
        shown = desk.get(sent.url) if sent.status_code == 302 else sent
        answers.append(shown.status_code)
        assert (file.column or "").encode() in shown.content, file.what
    print(f"{len(answers)} damaged files: {sum(code >= 500 for code in answers)} server errors, 0 partial imports")
    assert {code for code in answers if code >= 500} == set()
    assert Lot.objects.count() == 0


@pytest.mark.parametrize("name", ["lot", "coffee", "grinder", "greenlot", "roast"])
def test_lists_go_out_beside_their_rows(at_desk, name: str) -> None:
    desk = at_desk()
    LotFactory()
    page = desk.get(f"/admin/guides/{name}/")
    assert f"/admin/guides/{name}/import/" in page.content.decode()
    sent = desk.get(f"/admin/guides/{name}/export/")
    assert sent["Content-Type"] == "text/csv; charset=utf-8"
    assert sent.content.startswith(b"\xef\xbb\xbf")
