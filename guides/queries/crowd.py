"""Brews that customers sent, by what they were brewed from."""

from __future__ import annotations

from collections import defaultdict

from guides.models import Grinder, GuideVersion, HomeBrew


def by_version() -> list[tuple[GuideVersion, list[HomeBrew]]]:
    """Give the brews that were sent with a drained time, by version, the newest revision of each guide first.

    Two queries and one for the versions, whatever their number; without the texts that came along.
    """
    brews = HomeBrew.objects.filter(drained_s__isnull=False).defer("text").order_by("version", "drained_s")
    of: dict[int, list[HomeBrew]] = defaultdict(list)
    for brew in brews:
        of[brew.version_id].append(brew)
    versions = GuideVersion.objects.filter(pk__in=of).select_related("guide")
    return [(version, of[version.pk]) for version in versions.order_by("guide__number", "-revision")]


def grinder_names() -> dict[str, str]:
    """Give the roastery's grinders by their address words."""
    return dict(Grinder.objects.values_list("slug", "name"))
