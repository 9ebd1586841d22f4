"""A translation finished after publishing becomes a revision of words: every number stays the printed one."""

from __future__ import annotations

import datetime

import pytest
from django.db.models import QuerySet
from django.utils import timezone

from guides.choices import State
from guides.lifecycle import snapshot, stored, words_only
from guides.lifecycle.draft import open_next
from guides.lifecycle.verify import verify
from guides.models import Event, GuideVersion, StepText, User, VersionText
from tests.factories import TrialBrewFactory

from .conftest import refused, verbs

pytestmark = pytest.mark.django_db


@pytest.fixture
def translated(printed: GuideVersion, roaster: User) -> GuideVersion:
    draft = open_next(printed.guide, by=roaster)
    VersionText.objects.create(version=draft, language="sv", title="Outer Mark i Mast")
    StepText.objects.create(step=draft.steps.first(), language="sv", simple="Fukta allt.")
    return draft


@pytest.mark.data
def test_it_is_published_in_one_act_without_a_check_brew(translated: GuideVersion, publisher: User) -> None:
    version = words_only.publish(translated, by=publisher)
    version.refresh_from_db()
    assert (version.state, version.revision) == (State.PUBLISHED, 2)
    assert snapshot.read(version).words_in("sv").steps[0].simple == "Fukta allt."
    assert verbs(version) == ["opened_draft", "submitted", "waived", "published"]
    assert Event.objects.get(version_id=version.pk, verb="waived").reason == (
        "Words only: every number equals revision 1."
    )
    assert verify(version) == []


def test_numbers_stay_the_printed_ones_even_where_more_is_known_by_now(
    printed: GuideVersion, translated: GuideVersion, publisher: User
) -> None:
    for late_s in (200, 210, 205):
        TrialBrewFactory(of=printed, drained_s=late_s, brewed_at=timezone.now() - datetime.timedelta(hours=1))
    was, now = snapshot.read(printed), snapshot.read(words_only.publish(translated, by=publisher))
    for part in ("plan", "targets", "conditions", "assessment", "calculation_version", "brewer"):
        assert stored.to_json({"it": getattr(was, part)}) == stored.to_json({"it": getattr(now, part)}), part
    assert snapshot.of(printed).conditions != was.conditions  # a revision of numbers would have moved


def _open(draft: GuideVersion) -> QuerySet[GuideVersion]:
    return GuideVersion.objects.filter(pk=draft.pk)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda draft: _open(draft).update(kettle_c="94.0"), "Other than in revision 1: kettle reads, °C."),
        (lambda draft: draft.steps.filter(position=2).update(end_s=61), "in revision 1: step 2."),
        (lambda draft: draft.steps.filter(action="swirl").delete(), "the number of steps"),
        (lambda draft: _open(draft).update(server_ml=900), "server, mL"),
        (lambda draft: draft.steps.filter(position=1).update(simple="Stir."), "it was written in differ from"),
        (lambda draft: _open(draft).update(title="Other"), "it was written in differ from"),
        (lambda draft: (draft.texts.all().delete(), StepText.objects.all().delete()), "No translation differs"),
    ],
)  # fmt: skip
def test_anything_else_goes_through_review(
    translated: GuideVersion, publisher: User, change: object, words: str
) -> None:
    change(translated)  # type: ignore[operator]
    with refused(words):
        words_only.publish(translated, by=publisher)
    translated.refresh_from_db()
    assert (translated.state, translated.submitted_at) == (State.DRAFT, None)


def test_a_first_version_is_more_than_words(draft: GuideVersion, publisher: User) -> None:
    with refused("no published revision"):
        words_only.publish(draft, by=publisher)


def test_without_the_comparison_a_number_would_slip_through(
    translated: GuideVersion, publisher: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Negative control: with the comparison off, a draft with another kettle is printed with the old one."""
    monkeypatch.setattr(words_only.sameness, "moved_numbers", lambda version, kept: [])
    GuideVersion.objects.filter(pk=translated.pk).update(kettle_c="94.0")
    version = words_only.publish(translated, by=publisher)
    assert [drift.what for drift in verify(version)] == ["plan"]
