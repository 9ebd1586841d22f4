"""Words beside their translations: numbers cannot be typed again, what has changed shows, and nothing is lost."""

from __future__ import annotations

import pytest
from django.utils import timezone

from guides.lifecycle import draft as drafts
from guides.lifecycle import retyped, snapshot
from guides.models import GuideVersion, Roastery, Step, StepText, VersionText
from guides.presenters import guide_sheet
from guides.queries import translating, versions
from tests.factories import GuideVersionFactory, UserFactory, published

from .addresses import act, change

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture(autouse=True)
def _three_languages() -> None:
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])


def page_of(version: GuideVersion) -> str:
    return change(version).replace("change", "translations")


def key(version: GuideVersion, name: str, language: str = "sv") -> str:
    return f"{language}:step-{version.steps.first().pk}-{name}"


def test_words_are_kept_and_read_by_customers(at_desk, draft, filled):
    desk = at_desk()
    fields = filled(desk, page_of(draft))
    assert {"sv:title", "fi:summary", key(draft, "why")} <= set(fields)
    typed = fields | {"sv:title": "Outer Mark i Mast", key(draft, "why"): "Släpper ut gasen."}
    assert desk.post(page_of(draft), typed).status_code == 302
    draft.refresh_from_db()
    words = dict(snapshot.words_of(GuideVersion.objects.get(pk=draft.pk)))
    assert (words["sv"].title, words["sv"].steps[0].why) == ("Outer Mark i Mast", "Släpper ut gasen.")
    assert "fi" not in words
    assert draft.edit_number == 1
    assert filled(desk, page_of(draft))["sv:title"] == "Outer Mark i Mast"


def test_progress_is_said(at_desk, draft, filled, text_of):
    desk = at_desk()
    assert "Swedish 0 of 3 texts" in text_of(desk.get(page_of(draft)))
    desk.post(page_of(draft), filled(desk, page_of(draft)) | {"sv:title": "Outer Mark i Mast"})
    assert "Swedish 1 of 3 texts" in text_of(desk.get(page_of(draft)))


# Numbers


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("Häll till 192.", "scale shows"),
        ("Väg upp 16 g.", "dose"),
        ("Mal till 660.", "grind"),
        ("Vid 0:45 häller du.", "time of step"),
        ("97,0 grader", "kettle"),
    ],
)
def test_a_number_of_the_plan_is_refused_and_the_words_stay(at_desk, draft, filled, words, what, text_of):
    desk = at_desk()
    name = key(draft, "why")
    response = desk.post(page_of(draft), filled(desk, page_of(draft)) | {name: words, "fi:title": "Kept"})
    assert response.status_code == 409
    page, html = text_of(response), response.content.decode()
    assert "repeats a number of the plan" in page
    assert what in page
    assert words in html
    assert "Kept" in html
    assert not StepText.objects.exists()
    assert not VersionText.objects.exists()


@pytest.mark.parametrize("words", ["Ett varv till.", "Vänta 3 andetag.", "Fyll till hälften, 50/50.", "År 2026"])
def test_other_digits_may_stand(draft, words):
    assert retyped.refusal(words, "why", draft, list(draft.steps.all()), 0) is None


def test_a_steps_own_turns_are_a_number_of_the_plan(draft):
    steps = list(draft.steps.all())
    assert retyped.refusal("Swirl 1 time", "simple", draft, steps, 4) is not None
    assert retyped.refusal("Swirl 1 time", "simple", draft, steps, 0) is None


def test_the_roasters_own_words_are_held_to_it_too(roaster, at_desk, text_of):
    version = GuideVersionFactory(created_by=roaster)
    Step.objects.filter(version=version, position=2).update(simple="Pour on to 120.")
    response = at_desk(roaster).post(act(version, "submit"), {"seen": "0", "note": ""})
    assert response.status_code == 409
    assert "“120” repeats a number of the plan" in text_of(response)


def test_without_the_look_the_number_would_be_kept(at_desk, draft, filled, monkeypatch):
    """Negative control."""
    monkeypatch.setattr(retyped, "refusal", lambda *args: None)
    desk = at_desk()
    desk.post(page_of(draft), filled(desk, page_of(draft)) | {key(draft, "why"): "Häll till 264."})
    assert StepText.objects.get().why == "Häll till 264."


# Outdated


@pytest.fixture
def outdated(draft) -> GuideVersion:
    """A draft whose first why has changed since it was translated."""
    StepText.objects.create(step=draft.steps.first(), language="sv", why="Släpper ut gasen.")
    VersionText.objects.create(version=draft, language="sv", title="Outer Mark i Mast")
    draft.steps.filter(position=1).update(why="Wets every ground.")
    return GuideVersion.objects.get(pk=draft.pk)


def test_what_changed_is_shown_and_customers_read_the_new_words_meanwhile(at_desk, outdated, text_of):
    page = text_of(at_desk().get(page_of(outdated)))
    assert "outdated" in page
    assert "Lets the gas out." in page
    assert "Wets every ground." in page
    kept = snapshot.of(outdated)
    assert kept.words_in("sv").steps[0].why == "Wets every ground."
    assert kept.untranslated("sv", 0) == {"why"}
    assert translating.progress(outdated, "sv").outdated == 1


def test_new_words_or_a_tick_bring_it_up_to_date(at_desk, outdated, filled):
    desk, name = at_desk(), key(outdated, "why")
    desk.post(page_of(outdated), filled(desk, page_of(outdated)))
    assert translating.progress(versions_whole(outdated), "sv").outdated == 1, "saving without a look settles nothing"
    desk.post(page_of(outdated), filled(desk, page_of(outdated)) | {f"{name}:keep": "on"})
    assert translating.progress(versions_whole(outdated), "sv").outdated == 0
    outdated.steps.filter(position=1).update(why="Soaks it all.")
    desk.post(page_of(outdated), filled(desk, page_of(outdated)) | {name: "Blöter allt."})
    assert translating.progress(versions_whole(outdated), "sv").outdated == 0


def versions_whole(version: GuideVersion) -> GuideVersion:
    return versions.by_id(version.pk)


def test_the_next_draft_remembers_what_a_translation_was_made_from(outdated, roaster):
    published(outdated)
    following = drafts.open_next(outdated.guide, by=roaster)
    assert translating.progress(versions_whole(following), "sv").outdated == 1


# Two people, and roles


def test_the_second_saver_keeps_what_they_typed(at_desk, draft, filled, text_of):
    first, second = at_desk(UserFactory(role="roaster", first_name="Ilmo")), at_desk()
    theirs, mine = filled(first, page_of(draft)), filled(second, page_of(draft))
    first.post(page_of(draft), theirs | {"sv:title": "Deras"})
    response = second.post(page_of(draft), mine | {"sv:title": "Min"})
    assert response.status_code == 409
    assert "Ilmo saved this draft" in text_of(response)
    assert "Min" in response.content.decode()
    assert VersionText.objects.get().title == "Deras"
    assert second.post(page_of(draft), mine | {"sv:title": "Min", "edit_number": "1"}).status_code == 302
    assert VersionText.objects.get().title == "Min"


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_not_write_only_looks(at_desk, draft, role):
    desk = at_desk(role=role)
    assert desk.get(page_of(draft)).status_code == 200
    assert desk.post(page_of(draft), {"sv:title": "Nej", "edit_number": "0"}).status_code == 403


def test_a_published_version_is_closed(at_desk, printed):
    response = at_desk().post(page_of(printed), {"sv:title": "Sent", "edit_number": str(printed.edit_number)})
    assert response.status_code == 409
    assert not VersionText.objects.exists()


# After publishing


def test_a_translation_finished_later_becomes_a_revision_of_words_alone(at_desk, printed, publisher, filled, client):
    following = drafts.open_next(printed.guide, by=publisher)
    desk = at_desk(publisher)
    desk.post(page_of(following), filled(desk, page_of(following)) | {"sv:title": "Outer Mark i Mast"})
    assert act(following, "publish-words") in desk.get(page_of(following)).content.decode()
    assert desk.post(act(following, "publish-words"), {"seen": "1"}).status_code == 302
    following.refresh_from_db()
    assert (following.revision, following.state) == (2, "published")
    page = client.get(f"/sv/guides/{following.guide.slug}/").content.decode()
    assert "Outer Mark i Mast" in page
    assert '<span lang="en">Clear and floral.</span>' in page
    assert "(English)" in page


def test_one_missing_text_falls_back_where_it_stands(printed):
    sheet = guide_sheet.build(printed, language="en", today=timezone.localdate())
    assert sheet.untranslated == frozenset()
    version = GuideVersionFactory()
    VersionText.objects.create(version=version, language="sv", title="Outer Mark i Mast")
    sheet = guide_sheet.build(versions_whole(version), language="sv", today=timezone.localdate())
    assert (sheet.title, sheet.summary, sheet.steps[0].why) == (
        "Outer Mark i Mast",
        "Clear and floral.",
        "Lets the gas out.",
    )
    assert sheet.untranslated == {"summary"}
    assert sheet.steps[0].untranslated == {"why"}
