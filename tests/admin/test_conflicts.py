"""Two people, one draft: the second is told who changed what, and loses nothing."""

from __future__ import annotations

import pytest
from django.contrib.admin.models import LogEntry
from django.http import QueryDict

from guides.admin import conflicts
from tests.factories import UserFactory

from .addresses import change
from .conftest import fields_of

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def two(at_desk, draft, filled):
    """Two people with the same draft open: (desk, form) of each."""
    first, second = at_desk(UserFactory(role="roaster", first_name="Ilmo")), at_desk()
    return (first, filled(first, change(draft))), (second, filled(second, change(draft)))


def test_the_second_saver_is_told_and_keeps_every_word(draft, two, text_of):
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"dose_g": "17.0", "steps-0-target_g": "50"})
    response = second.post(change(draft), mine | {"title": "Mine", "steps-1-why": "Mine too"})
    page, html = text_of(response), response.content.decode()
    assert "Ilmo saved this draft at" in page
    assert "Dose, g 16 → 17." in page
    assert "Step 1, scale shows, g 48 → 50." in page
    assert 'value="Mine"' in html
    assert 'value="Mine too"' in html
    draft.refresh_from_db()
    assert (float(draft.dose_g), draft.title) == (17.0, "Outer Mark in the Mast cone")


def test_every_field_of_the_second_comes_back_as_it_was_typed(draft, two):
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"title": "Theirs", "kettle_c": "91", "steps-0-end_s": "0:15"})
    words = dict.fromkeys(("title", "summary", "in_depth", "why", "change_note", "steps-3-in_depth"), "Typed here")
    numbers = {"dose_g": "17", "water_g": "270", "kettle_c": "95", "grind_um": "700", "steps-2-end_s": "1:33"}
    typed = mine | words | numbers
    back = fields_of(second.post(change(draft), typed))
    form = {"csrfmiddlewaretoken": back["csrfmiddlewaretoken"], "edit_number": "1"}
    assert back == typed | form


def test_numbers_of_several_saves_are_told_newest_first_and_words_only_by_name(draft, two, text_of):
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"kettle_c": "91", "steps-0-end_s": "0:15", "why": "A secret of the house."})
    first.post(change(draft), theirs | {"edit_number": "1", "kettle_c": "90.5", "steps-0-turns": "2"})
    page = text_of(second.post(change(draft), mine | {"title": "Mine"}))
    assert page.index("Kettle reads, °C 91 → 90.5.") < page.index("Kettle reads, °C 97 → 91.")
    assert "Step 1, to 0:10 → 0:15." in page
    assert "Step 1, turns – → 2." in page
    assert "A secret of the house." not in LogEntry.objects.values_list("change_message", flat=True)[1]


def test_a_save_from_before_numbers_were_kept_is_told_all_the_same(draft, two, text_of):
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"dose_g": "17"})
    LogEntry.objects.update(change_message='[{"changed": {"fields": ["Dose, g"]}}]')
    assert "Changed Dose, g." in text_of(second.post(change(draft), mine))
    LogEntry.objects.update(change_message="Translated: Finnish.")
    assert "Translated: Finnish." in text_of(second.post(change(draft), mine))


def test_saving_again_is_a_decision(draft, two, filled):
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"title": "Theirs"})
    second.post(change(draft), mine | {"title": "Mine"})
    again = mine | {"title": "Mine", "edit_number": "1"}
    assert second.post(change(draft), again).status_code == 302
    draft.refresh_from_db()
    assert (draft.title, draft.edit_number) == ("Mine", 2)


def test_a_step_that_the_other_deleted_is_still_on_the_page_and_can_be_kept(draft, two):
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"steps-1-DELETE": "on"})
    typed = mine | {"steps-1-why": "Typed into a step that is gone"}
    response = second.post(change(draft), typed)
    assert 'value="Typed into a step that is gone"' in response.content.decode()
    assert second.post(change(draft), typed | {"edit_number": "1"}).status_code == 302
    whys = [step.why for step in draft.steps.all()]
    assert whys.count("Typed into a step that is gone") == 1
    assert len(whys) == 5


def test_a_draft_that_the_other_deleted_gives_every_word_back(draft, two, text_of):
    (first, _theirs), (second, mine) = two
    first.post(change(draft).replace("change", "delete"), {"post": "yes"})
    response = second.post(change(draft), mine | {"title": "Typed for an hour"})
    assert response.status_code == 409
    assert "somebody has deleted it" in text_of(response)
    assert "Typed for an hour" in text_of(response)


def test_a_form_without_its_number_is_a_conflict(draft, two):
    (first, theirs), _second = two
    del theirs["edit_number"]
    assert first.post(change(draft), theirs | {"title": "Crafted"}).status_code == 200
    draft.refresh_from_db()
    assert draft.title != "Crafted"


def test_without_the_number_the_first_save_would_be_lost(draft, two, monkeypatch):
    """Negative control."""
    monkeypatch.setattr(conflicts.TokenForm, "_refuse_overwriting", lambda self: None)
    (first, theirs), (second, mine) = two
    first.post(change(draft), theirs | {"dose_g": "17.0"})
    second.post(change(draft), mine | {"title": "Mine"})
    draft.refresh_from_db()
    assert float(draft.dose_g) == 16.0


def test_rows_are_fitted_to_what_is_there_now():
    posted = QueryDict(
        "s-TOTAL_FORMS=3&s-INITIAL_FORMS=2&s-0-id=7&s-0-a=gone&s-1-id=9&s-1-a=kept&s-2-id=&s-2-a=new&s-__prefix__-a=x"
    )
    fitted = conflicts.rows_as_they_are(posted, "s", "id", [9, 11])
    assert fitted["s-INITIAL_FORMS"] == "1"
    assert [fitted[f"s-{index}-a"] for index in range(3)] == ["kept", "gone", "new"]
    assert [fitted[f"s-{index}-id"] for index in range(3)] == ["9", "", ""]


@pytest.mark.parametrize("total", ["", "soon", "²", "99999999"])
def test_a_damaged_row_count_does_not_break_the_page(draft, two, total):
    (first, theirs), _second = two
    response = first.post(change(draft), theirs | {"steps-TOTAL_FORMS": total})
    assert response.status_code == 200
