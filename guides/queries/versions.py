"""Which version of a guide counts, and when."""

from __future__ import annotations

import datetime

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from guides.choices import OPEN_STATES, Follow, State
from guides.models import Assignment, Guide, GuideVersion, Step, VersionText


def whole() -> QuerySet[GuideVersion]:
    """Versions with everything a sheet needs, in a constant number of queries."""
    return _with_gear().prefetch_related(
        "texts", Prefetch("steps", Step.objects.select_related("picture", "clip").prefetch_related("texts"))
    )


def _with_gear() -> QuerySet[GuideVersion]:
    return GuideVersion.objects.select_related(
        "guide__coffee__picture", "brewer__vessel", "brewer__valve_base", "brewer__paper", "replacement"
    )


def printed_rows() -> QuerySet[GuideVersion]:
    """Versions that were ever published, newest first, as their readers meet them.

    The words of their steps are in the snapshot that publishing stored, so the rows of those are not fetched.
    """
    return _with_gear().filter(revision__isnull=False).order_by("guide", "-revision").prefetch_related("texts", "steps")


def in_a_line() -> QuerySet[GuideVersion]:
    """Versions with what a line in a list needs, in a constant number of queries."""
    brief = GuideVersion.objects.defer("snapshot").select_related("guide__coffee", "brewer", "replacement")
    return brief.prefetch_related("texts")


def newest_published() -> QuerySet[GuideVersion]:
    """Give the newest published version of each guide that has one."""
    return GuideVersion.objects.filter(state=State.PUBLISHED).exclude(has_newer("guide", "revision"))


def newest_in_a_line() -> QuerySet[GuideVersion]:
    """Give those with what readers see of them in a list, in a constant number of queries."""
    narrow = (
        newest_published()
        .select_related("guide", "brewer")
        .only(
            *("guide__number", "guide__slug", "guide__coffee", "brewer__name", "revision", "published_at"),
            *("language", "title", "summary", "dose_g", "water_g", "bypass_g", "ice_g"),
        )
    )
    words = VersionText.objects.only("version", "language", "title", "summary")
    return narrow.prefetch_related(Prefetch("texts", words))


def has_newer(guide: str, revision: str) -> Exists:
    """Say whether a guide has a published revision past one; both by the names they have in the query around it."""
    newer = GuideVersion.objects.filter(guide=OuterRef(guide), state=State.PUBLISHED, revision__gt=OuterRef(revision))
    return Exists(newer)


def by_id(pk: int) -> GuideVersion:
    """Give one version, whole.

    Raises:
        GuideVersion.DoesNotExist: there is none.
    """
    return whole().get(pk=pk)


def current(guide: Guide, *, at: datetime.datetime | None = None) -> GuideVersion | None:
    """Give the newest version that is published, or was at a moment."""
    versions = whole().filter(guide=guide)
    if at is None:
        versions = versions.filter(state=State.PUBLISHED)
    else:
        versions = versions.filter(published_at__lte=at).exclude(withdrawn_at__lte=at)
    return versions.order_by("-revision").first()


def open_draft(guide: Guide) -> GuideVersion | None:
    """Give the version that is being written or reviewed; a guide has one at most."""
    return whole().filter(guide=guide, state__in=OPEN_STATES).first()


def printed(guide_number: int, revision: int) -> GuideVersion | None:
    """Give the very version an insert names, published or withdrawn."""
    return whole().filter(guide__number=guide_number, revision=revision).first()


def numbered() -> QuerySet[GuideVersion]:
    """Give every version that was ever published, of all guides, whole."""
    return whole().filter(revision__isnull=False).order_by("guide__number", "revision")


def newest_numbered(guide_number: int) -> GuideVersion | None:
    """Give the newest version of a guide that was ever published, with its gear: a published one if there is any."""
    ever = _with_gear().select_related("guide").filter(guide__number=guide_number, revision__isnull=False)
    newest_first = ever.order_by("-revision")
    return newest_first.filter(state=State.PUBLISHED).first() or newest_first.first()


def history(guide: Guide) -> QuerySet[GuideVersion]:
    """Give the numbered versions of a guide, newest first."""
    return GuideVersion.objects.filter(guide=guide, revision__isnull=False).order_by("-revision")


def shown_for(assignment: Assignment) -> GuideVersion | None:
    """Give what a lot's page shows of a guide: pinned or newest; nothing while held or never published.

    A guide whose every version is withdrawn shows its last one, so that an old code meets the notice and not a hole.
    """
    if assignment.follow == Follow.HELD:
        return None
    if assignment.follow == Follow.PINNED and assignment.pinned_id is not None:
        return by_id(assignment.pinned_id)
    return current(assignment.guide) or history_whole(assignment.guide).first()


def history_whole(guide: Guide) -> QuerySet[GuideVersion]:
    """Give the numbered versions of a guide, newest first, each with everything a sheet needs."""
    return whole().filter(guide=guide, revision__isnull=False).order_by("-revision")


def languages(version: GuideVersion) -> list[str]:
    """Give the languages a version has words in, the one it was written in first."""
    return [
        version.language,
        *sorted(text.language for text in version.texts.all() if text.language != version.language),
    ]
