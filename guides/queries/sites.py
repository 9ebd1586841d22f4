"""Sites, the guides they can hang up, and who is signed off for what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import CharField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from guides.codes import short_code
from guides.models import Guide, GuideVersion, SignOff, Site, Trainee

from . import versions


@dataclass(frozen=True)
class Standing:
    """A trainee and a guide taught at their site: ``last`` is their newest sign-off for it, ``None`` for none."""

    trainee: Trainee
    version: GuideVersion
    last: SignOff | None


def by_code(code: str) -> Site | None:
    """Find a site by the code its sheets carry, in either case."""
    try:
        return (
            Site.objects.select_related("grinder")
            .prefetch_related("brewers__vessel")
            .filter(code=short_code.normalise(code))
            .first()
        )
    except short_code.BadCode:
        return None


MOST_OTHERS = 8
"""Guides not taught at a site that its page offers; any other is found by its name."""


def shown(site: Site) -> list[GuideVersion]:
    """Give the newest published version of every guide taught at a site, by number."""
    return list(_published().filter(guide__sites=site).order_by("guide__number"))


def others(site: Site, sought: str = "") -> tuple[list[GuideVersion], bool]:
    """Give the newest published versions of guides that are not taught at a site, and whether there are more.

    Args:
        site: with what is taught there.
        sought: part of the name of a guide or of its coffee.
    """
    found = _published().exclude(guide__in=site.guides.values("pk"))
    if sought:
        named = ("title", "guide__slug", "guide__coffee__name")
        found = found.filter(Q.create([(f"{name}__icontains", sought) for name in named], connector=Q.OR))
    rows = list(found.order_by("-published_at", "-pk")[: MOST_OTHERS + 1])
    return rows[:MOST_OTHERS], len(rows) > MOST_OTHERS


def printable(number: int) -> GuideVersion | None:
    """Give the newest published version of a guide, whole."""
    found = _published().filter(guide__number=number).first()
    return versions.by_id(found.pk) if found else None


def _published() -> QuerySet[GuideVersion]:
    """Give the newest published version of each guide, with what the line of a sheet needs."""
    newest = versions.newest_published().defer("snapshot")
    return newest.select_related("guide", "brewer__vessel").prefetch_related("texts")


def titled() -> QuerySet[Guide]:
    """Give every guide with ``title``, that of its newest version."""
    newest = GuideVersion.objects.filter(guide=OuterRef("pk")).order_by("-created_at", "-pk")
    title = Coalesce(Subquery(newest.values("title")[:1]), "slug", output_field=CharField())
    return Guide.objects.annotate(title=title).order_by("number")


def taught(guides: Iterable[int]) -> list[GuideVersion]:
    """Give the newest published version of some guides, by number, without what only a sheet needs."""
    found = versions.newest_published().filter(guide__in=set(guides))
    return list(found.select_related("guide").order_by("guide__number"))


def standings(sites: Iterable[Site]) -> list[Standing]:
    """Give everybody on the lists of some sites beside every published guide taught there, by site, guide and name.

    In a constant number of queries, whatever the number of sites.
    """
    sites = list(sites)
    guides_of: dict[int, set[int]] = defaultdict(set)
    for site, guide in Site.guides.through.objects.filter(site__in=sites).values_list("site", "guide"):
        guides_of[site].add(guide)
    current = taught(guide for guides in guides_of.values() for guide in guides)
    trainees = list(Trainee.objects.filter(site__in=sites, has_left=False).select_related("site"))
    last = _newest(trainees)
    return [
        Standing(trainee, version, last.get((trainee.pk, version.guide_id)))
        for site in sites
        for version in current
        if version.guide_id in guides_of[site.pk]
        for trainee in trainees
        if trainee.site_id == site.pk
    ]


def signed_at(site: Site) -> QuerySet[SignOff]:
    """Give every sign-off of a site, newest first, those of people who have left too."""
    return SignOff.objects.filter(trainee__site=site).select_related("trainee", "version__guide", "signed_by")


def _newest(trainees: Iterable[Trainee]) -> dict[tuple[int, int], SignOff]:
    rows = SignOff.objects.filter(trainee__in=[each.pk for each in trainees]).select_related(
        "version__guide", "signed_by"
    )
    newest: dict[tuple[int, int], SignOff] = {}
    for row in rows.order_by("-version__revision", "-signed_at", "-pk"):
        newest.setdefault((row.trainee_id, row.version.guide_id), row)
    return newest
