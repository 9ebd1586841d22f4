"""Pictures and clips of steps are part of what is published: kept, hashed, copied to the next draft, never lost."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from guides.lifecycle import canonical, draft, snapshot, stored
from guides.lifecycle.verify import Kind, verify
from guides.models import GuideVersion, StepClip, StepPicture, triggers
from guides.presenters import guide_sheet
from guides.queries import media, versions
from tests.factories import GuideVersionFactory, UserFactory, published
from tests.factories.shown import drawn, encoded, step_clip, step_picture

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def shown() -> GuideVersion:
    """A published version whose first step has a picture and whose second has a clip."""
    written = GuideVersionFactory()
    first, second = written.steps.all()[:2]
    step_picture(first, en="A wet bed.", sv="En våt bädd.")
    step_clip(second)
    return versions.by_id(published(versions.by_id(written.pk)).pk)


def test_the_snapshot_keeps_name_hash_and_words(shown, folder):
    import hashlib

    first, second = snapshot.read(shown).media
    assert (first.step, second.step) == (0, 1)
    assert first.picture.alt == {"en": "A wet bed.", "sv": "En våt bädd."}
    largest = folder / "pictures" / f"{first.picture.name}-{first.picture.width}.jpg"
    assert hashlib.sha256(largest.read_bytes()).hexdigest() == first.picture.sha256
    assert hashlib.sha256((folder / second.clip.file).read_bytes()).hexdigest() == second.clip.sha256
    assert (folder / second.clip.captions["en"]).read_text().startswith("WEBVTT")
    assert verify(shown) == []


def test_a_version_of_words_alone_is_kept_and_hashed_as_it_always_was():
    """Snapshots made before steps could show pictures have no such field; they read, verify and keep their hash."""
    version = versions.by_id(published().pk)
    assert "media" not in version.snapshot
    assert canonical.sha256(version.snapshot) == version.sha256
    assert snapshot.read(version).media == ()
    assert verify(version) == []
    assert "media" not in stored.to_json(snapshot.read(version))


def test_a_picture_exchanged_behind_the_guards_is_found(shown):
    triggers.remove(_connection())
    StepPicture.objects.filter(step__version=shown).update(alt={"en": "Another."})
    found = verify(versions.by_id(shown.pk))
    triggers.install(_connection())
    assert [(drift.kind, drift.what) for drift in found] == [(Kind.ROWS, "media")]


def test_model_refuses_first(shown):
    picture = StepPicture.objects.get(step__version=shown)
    with pytest.raises(ValidationError, match="printed on bags"):
        picture.save()
    with pytest.raises(ValidationError, match="printed on bags"):
        StepClip.objects.get(step__version=shown).delete()


def test_the_next_draft_begins_with_them_and_changing_it_leaves_the_published_page(shown, folder):
    opened = draft.open_next(shown.guide, by=UserFactory(role="roaster"))
    copies = StepPicture.objects.filter(step__version=opened)
    assert [row.alt for row in copies] == [{"en": "A wet bed.", "sv": "En våt bädd."}]
    assert StepClip.objects.filter(step__version=opened).count() == 1
    before = set(folder.rglob("*.*"))
    for row in (*copies, *StepClip.objects.filter(step__version=opened)):
        row.delete()
    assert set(folder.rglob("*.*")) == before  # files are never removed with a row
    sheet = guide_sheet.build(shown, language="sv", today=shown.published_at.date())
    assert sheet.steps[0].picture.alt == "En våt bädd."
    assert sheet.steps[1].clip.poster.alt_language == "en"
    assert (folder / sheet.steps[1].clip.src.removeprefix("/")).exists()


def test_public_is_what_is_published(shown):
    step = GuideVersionFactory().steps.first()
    from guides.media.keep import keep_drawn

    kept = keep_drawn(drawn(seed=77))
    StepPicture.objects.create(
        step=step, name=kept.name, sha256=kept.sha256, width=1, height=1, widths=[1], alt={"en": "x"}
    )
    assert not media.is_public(kept.name)
    published_one = snapshot.read(shown)
    assert media.is_public(published_one.media[0].picture.name)
    assert media.is_public(published_one.media[1].clip.file[6:38])
    assert encoded(drawn(seed=77))


def test_a_whole_version_costs_no_more_queries_for_its_pictures(shown, django_assert_num_queries):
    with django_assert_num_queries(4):
        guide_sheet.build(versions.by_id(shown.pk), language="en", today=shown.published_at.date())


def _connection():
    from django.db import connection

    return connection
