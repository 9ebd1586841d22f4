"""Sites, the guides they can hang up, and who is signed off for what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import CharField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from guides.choices import State
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


def shown() -> list[GuideVersion]:
    """Give the newest published version of every guide, by number, in a constant number of queries."""
    return _newest_of_each(versions.whole().filter(state=State.PUBLISHED).order_by("guide__number", "-revision"))


def titled() -> QuerySet[Guide]:
    """Give every guide with ``title``, that of its newest version."""
    newest = GuideVersion.objects.filter(guide=OuterRef("pk")).order_by("-created_at", "-pk")
    title = Coalesce(Subquery(newest.values("title")[:1]), "slug", output_field=CharField())
    return Guide.objects.annotate(title=title).order_by("number")


def taught(guides: Iterable[int]) -> list[GuideVersion]:
    """Give the newest published version of some guides, by number, without what only a sheet needs."""
    found = GuideVersion.objects.filter(state=State.PUBLISHED, guide__in=set(guides)).select_related("guide")
    return _newest_of_each(found.order_by("guide__number", "-revision"))


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


def _newest_of_each(newest_first: Iterable[GuideVersion]) -> list[GuideVersion]:
    newest: dict[int, GuideVersion] = {}
    for version in newest_first:
        newest.setdefault(version.guide_id, version)
    return list(newest.values())


def _newest(trainees: Iterable[Trainee]) -> dict[tuple[int, int], SignOff]:
    rows = SignOff.objects.filter(trainee__in=[each.pk for each in trainees]).select_related(
        "version__guide", "signed_by"
    )
    newest: dict[tuple[int, int], SignOff] = {}
    for row in rows.order_by("-version__revision", "-signed_at", "-pk"):
        newest.setdefault((row.trainee_id, row.version.guide_id), row)
    return newest
