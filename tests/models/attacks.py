# ruff: noqa: S608 - tables and columns of our own models
"""Ways to change what is published that never pass a model's ``save`` or ``delete``."""

from __future__ import annotations

from collections.abc import Callable

from django.db import connection

from guides.choices import State
from guides.models import Address, Event, Guide, GuideVersion, Lot, Step, StepClip, StepPicture, StepText, VersionText

from .frozen import Frozen

Attack = Callable[[Frozen], object]


def sql(statement: str, *values: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def _columns(model: type, *, but: tuple[str, ...] = ()) -> str:
    return ", ".join(f'"{field.column}"' for field in model._meta.concrete_fields if field.column not in but)


def bulk_update(at: Frozen) -> None:
    at.version.dose_g = 20
    GuideVersion.objects.bulk_update([at.version], ["dose_g"])


def bulk_create_over(at: Frozen) -> None:
    at.version.title = "Other"
    GuideVersion.objects.bulk_create([at.version], update_conflicts=True, unique_fields=["id"], update_fields=["title"])


def save_base(at: Frozen) -> None:
    at.version.title = "Other"
    at.version.save_base(raw=True)


def thaw(at: Frozen) -> None:
    """Back to draft, and everything is open."""
    GuideVersion.objects.filter(pk=at.draft.pk).delete()
    GuideVersion.objects.filter(pk=at.version.pk).update(
        state=State.DRAFT, revision=None, snapshot=None, sha256="", published_at=None, published_by=None
    )


def withdraw_quietly_changed(at: Frozen) -> None:
    """The one allowed change, with another beside it."""
    GuideVersion.objects.filter(pk=at.version.pk).update(
        state=State.WITHDRAWN,
        withdrawn_at=at.version.published_at,
        withdrawn_by=at.version.published_by,
        withdrawn_reason="old",
        dose_g=20,
    )


def upsert(at: Frozen) -> None:
    table, columns = GuideVersion._meta.db_table, _columns(GuideVersion)
    sql(
        f'INSERT INTO "{table}" ({columns}) SELECT {columns} FROM "{table}" WHERE id = %s '
        "ON CONFLICT (id) DO UPDATE SET title = 'Other'",
        at.version.pk,
    )


EVERYWHERE: dict[str, Attack] = {
    "update": lambda at: GuideVersion.objects.filter(pk=at.version.pk).update(dose_g=20),
    "bulk_update": bulk_update,
    "bulk_create over it": bulk_create_over,
    "save_base": save_base,
    "raw update": lambda at: sql("UPDATE guides_guideversion SET kettle_c = 99 WHERE id = %s", at.version.pk),
    "replacement alone": lambda at: GuideVersion.objects.filter(pk=at.version.pk).update(replacement=at.version.guide),
    "thaw": thaw,
    "withdraw and change": withdraw_quietly_changed,
    "upsert": upsert,
    "queryset delete": lambda at: GuideVersion.objects.filter(pk=at.version.pk).delete(),
    "raw delete of one without steps": lambda at: sql("DELETE FROM guides_guideversion WHERE id = %s", at.bare.pk),
    "raw delete": lambda at: sql("DELETE FROM guides_steptext"),
    "update a step": lambda at: Step.objects.filter(pk=at.step.pk).update(target_g=50),
    "insert a step": lambda at: Step.objects.bulk_create(
        [Step(version=at.version, position=9, start_s=1, end_s=1, action="swirl")]
    ),
    "move a step out": lambda at: Step.objects.filter(pk=at.step.pk).update(version=at.draft),
    "move a step in": lambda at: Step.objects.filter(version=at.draft).update(version=at.version),
    "delete a step": lambda at: sql("DELETE FROM guides_step WHERE id = %s", at.version.steps.last().pk),
    "update a text": lambda at: VersionText.objects.filter(pk=at.version_text.pk).update(title="Annan"),
    "insert a text": lambda at: VersionText.objects.bulk_create(
        [VersionText(version=at.version, language="fi", title="Toinen")]
    ),
    "update a step's text": lambda at: StepText.objects.filter(pk=at.step_text.pk).update(simple="Annat."),
    "move a step's text": lambda at: StepText.objects.filter(pk=at.step_text.pk).update(step=at.draft.steps.first()),
    "exchange a picture": lambda at: StepPicture.objects.filter(pk=at.step_picture.pk).update(name="0" * 32),
    "reword a picture": lambda at: StepPicture.objects.filter(pk=at.step_picture.pk).update(alt={"en": "Other."}),
    "take a picture away": lambda at: sql("DELETE FROM guides_steppicture"),
    "add a picture": lambda at: StepPicture.objects.bulk_create(
        [StepPicture(step=at.version.steps.last(), name="0" * 32, sha256="0", width=1, height=1, widths=[1])]
    ),
    "exchange a clip": lambda at: StepClip.objects.filter(pk=at.step_clip.pk).update(file="clips/other.mp4"),
    "move a clip out": lambda at: StepClip.objects.filter(pk=at.step_clip.pk).update(step=at.draft.steps.first()),
    "renumber the guide": lambda at: Guide.objects.filter(pk=at.version.guide_id).update(number=999),
    "lead a code to another coffee": lambda at: sql(
        "UPDATE guides_lot SET coffee_id = (SELECT max(id) FROM guides_coffee) WHERE id = %s", at.lot.pk
    ),
    "rename a coded lot": lambda at: Lot.objects.filter(pk=at.lot.pk).update(name="XX-1"),
    "update an address": lambda at: Address.objects.filter(pk=at.address.pk).update(code="11111111"),
    "delete an address": lambda at: sql("DELETE FROM guides_address WHERE code = %s", at.address.pk),
    "update an event": lambda at: Event.objects.filter(pk=at.event.pk).update(reason="Other"),
    "delete an event": lambda at: sql("DELETE FROM guides_event"),
    "sign somebody else off": lambda at: sql("UPDATE guides_signoff SET version_id = %s", at.version.pk),
    "forget a sign-off": lambda at: sql("DELETE FROM guides_signoff"),
}


def replace_same_key(at: Frozen) -> None:
    table, rest = GuideVersion._meta.db_table, _columns(GuideVersion, but=("title",))
    sql(
        f"INSERT OR REPLACE INTO {table} ({rest}, title) SELECT {rest}, 'Other' FROM {table} WHERE id = %s",
        at.version.pk,
    )


def replace_key_as_text(at: Frozen) -> None:
    table, rest = GuideVersion._meta.db_table, _columns(GuideVersion, but=("id", "title"))
    sql(
        f"INSERT OR REPLACE INTO {table} ({rest}, id, title) SELECT {rest}, CAST(id AS TEXT), 'Other' "
        f"FROM {table} WHERE id = %s",
        at.version.pk,
    )


def replace_same_revision(at: Frozen) -> None:
    table, rest = GuideVersion._meta.db_table, _columns(GuideVersion, but=("id",))
    sql(f"INSERT OR REPLACE INTO {table} ({rest}) SELECT {rest} FROM {table} WHERE id = %s", at.version.pk)


def replace_by_moving(at: Frozen) -> None:
    sql("UPDATE OR REPLACE guides_guideversion SET id = %s WHERE id = %s", at.version.pk, at.draft.pk)


def replace_a_step(at: Frozen) -> None:
    sql("UPDATE OR REPLACE guides_step SET id = %s WHERE id = %s", at.step.pk, at.draft.steps.first().pk)


def replace_a_step_by_insert(at: Frozen) -> None:
    table, rest = Step._meta.db_table, _columns(Step, but=("id", "version_id"))
    sql(
        f"INSERT OR REPLACE INTO {table} ({rest}, id, version_id) SELECT {rest}, id, %s FROM {table} WHERE id = %s",
        at.draft.pk,
        at.step.pk,
    )


def replace_address_by_row(at: Frozen) -> None:
    """A table with a key of text has a hidden row number too."""
    sql(
        "INSERT OR REPLACE INTO guides_address (rowid, code, lot_id, created_at) "
        "SELECT rowid, '11111111', lot_id, created_at FROM guides_address WHERE code = %s",
        at.address.pk,
    )


def replace_lot(at: Frozen) -> None:
    table, rest = Lot._meta.db_table, _columns(Lot, but=("coffee_id",))
    sql(
        f"INSERT OR REPLACE INTO {table} ({rest}, coffee_id) "
        f"SELECT {rest}, (SELECT max(id) FROM guides_coffee) FROM {table} WHERE id = %s",
        at.lot.pk,
    )


def replace_event(at: Frozen) -> None:
    table, rest = Event._meta.db_table, _columns(Event, but=("reason",))
    sql(
        f"INSERT OR REPLACE INTO {table} ({rest}, reason) SELECT {rest}, 'Other' FROM {table} WHERE id = %s",
        at.event.pk,
    )


SQLITE: dict[str, Attack] = {
    "replace, same key": replace_same_key,
    "replace, key as text": replace_key_as_text,
    "replace, same revision": replace_same_revision,
    "replace by moving a draft": replace_by_moving,
    "replace a step by moving": replace_a_step,
    "replace a step": replace_a_step_by_insert,
    "replace an address by its row": replace_address_by_row,
    "replace an event": replace_event,
    "replace a coded lot": replace_lot,
}

POSTGRESQL: dict[str, Attack] = {
    "truncate versions": lambda at: sql("TRUNCATE guides_guideversion CASCADE"),
    "truncate steps": lambda at: sql("TRUNCATE guides_step CASCADE"),
    "truncate what they hang on": lambda at: sql("TRUNCATE guides_coffee CASCADE"),
    "truncate addresses": lambda at: sql("TRUNCATE guides_address"),
    "truncate events": lambda at: sql("TRUNCATE guides_event"),
    "merge": lambda at: sql(
        "MERGE INTO guides_guideversion v USING (SELECT %s AS id) s ON v.id = s.id "
        "WHEN MATCHED THEN UPDATE SET title = 'Other'",
        at.version.pk,
    ),
    "update from": lambda at: sql(
        "UPDATE guides_step s SET why = v.title FROM guides_guideversion v WHERE v.id = s.version_id AND v.id = %s",
        at.version.pk,
    ),
    "delete using": lambda at: sql(
        "DELETE FROM guides_versiontext t USING guides_guideversion v WHERE v.id = t.version_id AND v.id = %s",
        at.version.pk,
    ),
}


def of(vendor: str) -> dict[str, Attack]:
    return {**EVERYWHERE, **(POSTGRESQL if vendor == "postgresql" else SQLITE)}
