"""Signing trainees off, and when a new revision asks again."""

from __future__ import annotations

import pytest

from guides.lifecycle import words_only
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.sign_off import sign_off, still_good
from guides.lifecycle.withdraw import withdraw
from guides.models import Event, SignOff, VersionText
from guides.queries import versions
from tests.factories import GuideFactory, TraineeFactory, UserFactory, published
from tests.factories.sites import learning

pytestmark = pytest.mark.django_db


def test_who_which_revision_when_and_by_whom_is_kept():
    site, guide, trainees = learning()
    by = UserFactory(role="roaster")
    rows = sign_off(site, guide, trainees, by=by)
    assert [row.trainee for row in rows] == trainees
    assert {(row.version.revision, row.signed_by) for row in rows} == {(1, by)}
    assert all(row.signed_at for row in rows)
    assert Event.objects.latest("pk").details["trainees"] == [each.pk for each in trainees]


def test_nobody_somebody_elses_and_who_left_are_refused():
    site, guide, trainees = learning()
    by, stranger = UserFactory(role="roaster"), TraineeFactory(name="Stranger")
    trainees[0].has_left = True
    trainees[0].save()
    for chosen, words in (([], "Choose who"), ([stranger], "Stranger"), (trainees, trainees[0].name)):
        with pytest.raises(Refused, match=words):
            sign_off(site, guide, chosen, by=by)
    assert not SignOff.objects.exists()


def test_only_a_guide_that_is_taught_and_published_is_signed_off():
    site, guide, trainees = learning()
    by = UserFactory(role="publisher")
    for other in (GuideFactory(), published().guide):
        with pytest.raises(Refused, match="not taught here"):
            sign_off(site, other, trainees, by=by)
    withdraw(versions.current(guide), by=by, reason="The valve leaks.")
    with pytest.raises(Refused, match="not taught here"):
        sign_off(site, guide, trainees, by=by)


def test_another_number_asks_again_and_a_translation_does_not():
    first = versions.by_id(published().pk)
    assert still_good(first, first)
    translated = open_next(first.guide, by=UserFactory(role="roaster"))
    VersionText.objects.create(version=translated, language="sv", title="Outer Mark i Mast")
    translated = versions.by_id(words_only.publish(translated, by=UserFactory(role="publisher")).pk)
    assert still_good(first, translated)
    coarser = open_next(first.guide, by=UserFactory(role="roaster"))
    coarser.grind_um += 40
    coarser.save()
    assert not still_good(first, versions.by_id(published(coarser).pk))
