"""Opens the next draft of a guide: a copy to work on, while what is printed stays."""

from __future__ import annotations

import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Guide, GuideVersion, Step, StepClip, StepPicture, StepText, User, VersionText
from guides.models.base import PartOfVersion
from guides.queries import versions

from . import audit, roles
from .errors import Refusal, refuse_if

_PERMISSIONS = ["guides.add_guideversion"]
# What belongs to the life of one version and not to its plan or words.
_OWN = frozenset(
    {
        "id",
        "revision",
        "state",
        "change_note",
        "created_at",
        "created_by",
        "edit_number",
        "submitted_at",
        "submitted_by",
        "waiver_reason",
        "approved_at",
        "approved_by",
        "publish_at",
        "publish_by",
        "published_at",
        "published_by",
        "withdrawn_at",
        "withdrawn_by",
        "withdrawn_reason",
        "replacement",
        "calculation_version",
        "snapshot",
        "sha256",
    }
)


def open_next(
    guide: Guide,
    *,
    by: User,
    at: datetime.datetime | None = None,
    based_on: GuideVersion | None = None,
    trial: int | None = None,
) -> GuideVersion:
    """Open the next draft with the plan and words of ``based_on``, or of the newest numbered version.

    Args:
        guide: the guide.
        by: who will write it.
        at: when; now if not given.
        based_on: any version of this guide.
        trial: key of the trial brew it was chosen from, for the record.

    Raises:
        Refused: not allowed, a draft is open already, or there is nothing to copy yet.
    """
    with transaction.atomic():
        Guide.objects.select_for_update().get(pk=guide.pk)
        source = based_on or versions.current(guide) or versions.history(guide).first()
        refuse_if([*roles.refusals(by, _PERMISSIONS, _("write guides")), *_refusals(guide, source)])
        assert source is not None  # noqa: S101 - _refusals has seen to it; this tells the type checker
        draft = GuideVersion(guide=guide, created_by=by, created_at=at or timezone.now(), **_copied(source, _OWN))
        draft.save()
        _copy_parts(source, draft)
        because: dict[str, Any] = {"based_on": source.revision} | ({"trial": trial} if trial else {})
        audit.record(Verb.OPENED_DRAFT, by=by, at=at, version=draft, **because)
    return draft


def record_created(version: GuideVersion, *, by: User) -> None:
    """Write down who began a version: the first one of a guide is made in a form, not by ``open_next``."""
    with transaction.atomic():
        if version.created_by_id is None:
            version.created_by = by
            version.save(update_fields=["created_by"])
        audit.record(Verb.CREATED, by=by, version=version)


def _refusals(guide: Guide, source: GuideVersion | None) -> list[Refusal]:
    if versions.open_draft(guide) is not None:
        return [Refusal(_("Guide: it has an open draft already; go on with that one."), field="guide")]
    if source is None:
        return [Refusal(_("Guide: there is no version to start from; write the first one."), field="guide")]
    if source.guide_id != guide.pk:
        return [Refusal(_("Guide: the version to start from belongs to another guide."), field="guide")]
    return []


def _copied(row: GuideVersion | PartOfVersion, leave: frozenset[str]) -> dict[str, object]:
    return {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.name not in leave and field.name != "guide"
    }


def _copy_parts(source: GuideVersion, draft: GuideVersion) -> None:
    for text in VersionText.objects.filter(version=source):
        VersionText.objects.create(version=draft, **_copied(text, frozenset({"id", "version"})))
    for step in Step.objects.filter(version=source).prefetch_related("texts"):
        copy = Step.objects.create(version=draft, **_copied(step, frozenset({"id", "version"})))
        for words in step.texts.all():
            StepText.objects.create(step=copy, **_copied(words, frozenset({"id", "step"})))
        for kind in (StepPicture, StepClip):
            for shown in kind.objects.filter(step=step):
                kind.objects.create(step=copy, **_copied(shown, frozenset({"id", "step"})))
