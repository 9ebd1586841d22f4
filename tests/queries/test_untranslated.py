"""Which guides lack words: the database has to find the same as counting text by text does."""

from __future__ import annotations

from typing import Any

import pytest

from guides.lifecycle import draft, review, withdraw
from guides.models import GuideVersion, StepText, User, VersionText
from guides.queries import translating, untranslated, versions
from tests.factories import GuideVersionFactory, published
from tests.factories.busy import busy_site

from .reading import reading

pytestmark = [pytest.mark.django_db, pytest.mark.data]
OFFERED = ["en", "sv", "fi"]


def draft_of(**fields: Any) -> GuideVersion:
    version = GuideVersionFactory(**fields)
    version.steps.update(simple="Pour.")
    return version


def translated(version: GuideVersion, *languages: str, **changes: Any) -> GuideVersion:
    """Put words into a draft for every text it has, but for what is to be otherwise with its own."""
    for language in languages:
        words = {name: f"{language} {name}" if getattr(version, name) else "" for name in VersionText.TEXTS}
        VersionText.objects.create(version=version, language=language, **{**words, **changes})
        for step in version.steps.all():
            words = {name: f"{language} {name}" if getattr(step, name) else "" for name in StepText.TEXTS}
            StepText.objects.create(step=step, language=language, **words)
    return version


def of_one_step(version: GuideVersion, **changes: Any) -> GuideVersion:
    StepText.objects.filter(pk=StepText.objects.filter(step__version=version).latest("pk").pk).update(**changes)
    return version


def test_the_database_finds_what_counting_finds() -> None:
    whole = {"why": "Because.", "in_depth": "Slowly."}
    drafts = {
        "nothing": draft_of(**whole),
        "all": translated(draft_of(**whole), "sv", "fi"),
        "one language": translated(draft_of(**whole), "sv"),
        "no title": translated(draft_of(**whole), "sv", "fi", title=""),
        "no why": translated(draft_of(**whole), "sv", "fi", why=""),
        "made from other words": translated(draft_of(**whole), "sv", "fi", made_from={"title": "Earlier"}),
        "a text without a source": translated(draft_of(), "sv", "fi", why="Mer", made_from={"why": "Gone"}),
        "a step's words missing": of_one_step(translated(draft_of(**whole), "sv", "fi"), simple=""),
        "a step's words outdated": of_one_step(translated(draft_of(), "sv", "fi"), made_from={"simple": "Earlier"}),
        "a step without a row": translated(draft_of(), "sv", "fi"),
        "written in Swedish": translated(draft_of(language="sv"), "en", "fi"),
        "written in Swedish, read in English": translated(draft_of(language="sv"), "en"),
        "written in a language not offered": translated(draft_of(language="de"), "sv", "fi"),
        "and in all that are": translated(draft_of(language="de"), *OFFERED),
        "in further languages": translated(draft_of(), "de", "ar"),
    }
    StepText.objects.filter(step__version=drafts["a step without a row"]).latest("pk").delete()
    # What was made from nothing known was made from the words there are.
    VersionText.objects.filter(version=drafts["all"]).update(made_from={})
    for version in drafts.values():
        published(version)
    found = set(untranslated.versions(OFFERED))
    counted = {version for version in versions.numbered() if translating.left(version, OFFERED)}
    assert found == counted
    assert {name for name, version in drafts.items() if version not in found} == {
        "all", "a text without a source", "written in Swedish", "and in all that are",
    }  # fmt: skip
    assert not untranslated.versions(["en"]).filter(language="en").exists()


def test_of_each_guide_it_is_the_version_to_go_on_with(roaster: User, publisher: User) -> None:
    GuideVersionFactory()  # a first draft waits for nobody
    published(draft.open_next(published().guide, by=roaster))
    opened = draft.open_next(published().guide, by=roaster)
    reviewed = GuideVersionFactory()
    review.submit(reviewed, by=roaster)
    withdraw.withdraw(published(), by=publisher, reason="Too hot.")
    back = draft.open_next((first := published()).guide, by=roaster)
    withdraw.withdraw(published(back), by=publisher, reason="Too hot.")
    found = list(untranslated.versions(OFFERED))
    newest = GuideVersion.objects.get(revision=2, state="published")
    assert sorted(version.pk for version in found) == sorted([newest.pk, opened.pk, reviewed.pk, first.pk])


def test_a_few_of_many_are_read_alone() -> None:
    costs = []
    for more in (6, 30):
        busy_site(0, more, coffees=1)
        with reading() as read:
            few = untranslated.versions(OFFERED)[:5]
            assert all(len(translating.left(version, OFFERED)) == 2 for version in few)
        costs.append((read.queries, read.rows))
    assert costs[0] == costs[1]
