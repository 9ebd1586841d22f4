"""Who wrote a version: whoever began it, changed it or submitted it. They do not approve it by themselves."""

from __future__ import annotations

from guides.models import GuideVersion, User, VersionEditor


def record_edit(version: GuideVersion, *, by: User) -> None:
    """Keep that somebody changed a draft. What they changed is in the log of its saves."""
    VersionEditor.objects.get_or_create(version=version, user=by)


def of(version: GuideVersion) -> set[int]:
    """Give the keys of everybody whose work is in a version."""
    own = {version.created_by_id, version.submitted_by_id}
    return {pk for pk in own if pk is not None} | set(version.editors.values_list("user", flat=True))
