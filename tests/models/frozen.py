"""A published version set down row by row, without the lifecycle, for attacks on what the databases guard."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.utils import timezone

from guides.choices import State, Verb
from guides.lifecycle import address
from guides.models import (
    Address,
    Dispatch,
    Event,
    Guide,
    GuideVersion,
    Lot,
    LotCheck,
    ReviewComment,
    SignOff,
    Step,
    StepClip,
    StepPicture,
    StepText,
    User,
    VersionEditor,
    VersionText,
    triggers,
)
from tests.factories import GuideVersionFactory, LotFactory, TraineeFactory, UserFactory
from tests.factories.shown import step_clip, step_picture


@dataclass
class Frozen:
    """What must stay, and an open draft of the same guide beside it. ``bare`` is published without a step."""

    version: GuideVersion
    bare: GuideVersion
    step: Step
    version_text: VersionText
    step_text: StepText
    step_picture: StepPicture
    step_clip: StepClip
    draft: GuideVersion
    lot: Lot
    address: Address
    event: Event
    version_editor: VersionEditor
    comment: ReviewComment
    sign_off: SignOff
    lot_check: LotCheck
    dispatch: Dispatch


def set_down() -> Frozen:
    version = GuideVersionFactory()
    step = version.steps.first()
    version_text = VersionText.objects.create(version=version, language="sv", title="Outer Mark i Mast")
    step_text = StepText.objects.create(step=step, language="sv", simple="Fukta allt.")
    picture, clip = step_picture(step), step_clip(step)
    by = UserFactory()
    editor = VersionEditor.objects.create(version=version, user=by)
    comment = ReviewComment.objects.create(version=version, step=step, place=1, text="How far to stir?", written_by=by)
    _freeze(version, 1, by)
    bare = GuideVersionFactory(guide=version.guide, steps=())
    _freeze(bare, 2, by)
    lot = LotFactory(coffee=version.guide.coffee)
    event = Event.objects.create(by=by, verb=Verb.PUBLISHED, guide=version.guide, version_id=version.pk)
    sign_off = _signed_off(by)
    if connection.vendor == "postgresql":  # queued checks would refuse DDL and TRUNCATE in the guards' place
        _run("SET CONSTRAINTS ALL IMMEDIATE")
    draft = GuideVersionFactory(guide=version.guide)
    return Frozen(
        version,
        bare,
        step,
        version_text,
        step_text,
        picture,
        clip,
        draft,
        lot,
        address.issue(lot),
        event,
        editor,
        comment,
        sign_off,
        LotCheck.objects.create(by=by, bag_text=lot.name, insert_text=lot.name, bag=lot, insert=lot, answer="same"),
        Dispatch.objects.create(lot=lot, outlet="shelf", bags=3, recorded_by=by),
    )


def _signed_off(by: User) -> SignOff:
    """For another guide: it would protect the versions that attacks try to delete."""
    other = GuideVersionFactory()
    _freeze(other, 1, by)
    return SignOff.objects.create(trainee=TraineeFactory(), version=other, signed_by=by)


def _freeze(version: GuideVersion, revision: int, by: User) -> None:
    GuideVersion.objects.filter(pk=version.pk).update(
        state=State.PUBLISHED,
        revision=revision,
        snapshot={"dose_g": 16},
        sha256="0" * 64,
        published_at=timezone.now(),
        published_by=by,
    )
    version.refresh_from_db()


def fingerprint(frozen: Frozen) -> list[Any]:
    """Every column of every row that must stay."""
    version = frozen.version.pk
    found: list[Any] = []
    for table, where, key in (
        (Guide, "id = %s", frozen.version.guide_id),
        (GuideVersion, "revision IS NOT NULL AND guide_id = %s", frozen.version.guide_id),
        (Step, "version_id = %s", version),
        (VersionText, "version_id = %s", version),
        (StepText, "step_id = %s", frozen.step.pk),
        (StepPicture, "step_id IN (SELECT id FROM guides_step WHERE version_id = %s)", version),
        (StepClip, "step_id IN (SELECT id FROM guides_step WHERE version_id = %s)", version),
        (VersionEditor, "version_id = %s", version),
        (ReviewComment, "version_id = %s", version),
        (SignOff, "id = %s", frozen.sign_off.pk),
        (Address, "code = %s", frozen.address.pk),
        (Lot, "id = %s", frozen.lot.pk),
        (Event, "id = %s", frozen.event.pk),
    ):
        with connection.cursor() as cursor:
            cursor.execute(f'SELECT * FROM "{table._meta.db_table}" WHERE {where} ORDER BY 1', [key])  # noqa: S608
            found.append(cursor.fetchall())
    return found


def guards_off() -> None:
    triggers.remove(connection)


def _run(sql: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql)
