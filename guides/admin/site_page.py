"""What a site's page shows above its form: sheets to hang up, and where each trainee stands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from guides.lifecycle.sign_off import still_good
from guides.models import GuideVersion, SignOff, Site, Trainee
from guides.presenters import sites as presented
from guides.queries.sites import Standing, standings
from guides.queries.versions import languages

from . import differences


@dataclass(frozen=True)
class Sheet:
    """A guide as the site has it. ``prints`` are its wall sheets, each with its language; empty without the right."""

    title: str
    revision: int | None
    page: str
    screen: str
    prints: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Signed:
    """Where one trainee stands with a guide: ``word`` first, and what to look at before they are signed off again."""

    name: str
    word: str
    is_good: bool
    last: SignOff | None
    changed: str = ""


@dataclass(frozen=True)
class Learnt:
    """One guide taught at a site, and everybody on its list."""

    version: GuideVersion
    trainees: tuple[Signed, ...]


def sheets(site: Site, versions: Iterable[GuideVersion], *, may_print: bool) -> list[Sheet]:
    """Give what can be hung up of some guides at a site."""
    names, language = dict(settings.LANGUAGES), get_language() or settings.LANGUAGE_CODE

    def prints(version: GuideVersion) -> tuple[tuple[str, str], ...]:
        return tuple(
            (
                str(names.get(each, each)),
                reverse("admin:guides_site_wall", args=[site.pk, version.guide.number, each]),
            )
            for each in languages(version)
        )

    return [
        Sheet(
            title=version.title,
            revision=version.revision,
            page=presented.guide_href(site, version, language),
            screen=presented.guide_href(site, version, language, "screen"),
            prints=prints(version) if may_print else (),
        )
        for version in versions
    ]


def learnt(found: Iterable[Standing]) -> list[Learnt]:
    """Give where everybody stands, guide by guide."""
    return [
        Learnt(version, tuple(_signed(standing) for standing in of_guide))
        for version, of_guide in groupby(found, key=lambda standing: standing.version)
    ]


def asks(standing: Standing) -> bool:
    """Say whether somebody is to be signed off, for the first time or again."""
    return standing.last is None or not still_good(standing.last.version, standing.version)


@dataclass(frozen=True)
class ToSign:
    """A guide at a site for which somebody is to be signed off: ``again`` those of an earlier revision."""

    site: Site
    version: GuideVersion
    again: tuple[str, ...]
    first: tuple[str, ...]


def to_sign() -> list[ToSign]:
    """Give every site and guide that somebody waits at, those who were signed off before first."""
    waiting = [standing for standing in standings(Site.objects.all()) if asks(standing)]
    found = []
    for _key, group in groupby(waiting, key=lambda each: (each.trainee.site_id, each.version.pk)):
        of_guide = list(group)
        found.append(
            ToSign(
                site=of_guide[0].trainee.site,
                version=of_guide[0].version,
                again=tuple(each.trainee.name for each in of_guide if each.last is not None),
                first=tuple(each.trainee.name for each in of_guide if each.last is None),
            )
        )
    return sorted(found, key=lambda each: not each.again)


def signing_choices(site: Site) -> list[tuple[str, str, tuple[Trainee, GuideVersion]]]:
    """Give who is to be signed off for what at a site: a key, the words, and the two; those asked again first.

    A key names the revision: one that is published while the form lies open is not signed for unseen.
    """
    waiting = sorted((each for each in standings([site]) if asks(each)), key=lambda each: each.last is None)
    return [(f"{each.trainee.pk}-{each.version.pk}", _choice(each), (each.trainee, each.version)) for each in waiting]


def _choice(standing: Standing) -> str:
    words = _("%(name)s: %(guide)s") if standing.last is None else _("%(name)s, again: %(guide)s")
    return words % {"name": standing.trainee.name, "guide": standing.version}


def _signed(standing: Standing) -> Signed:
    last, name = standing.last, standing.trainee.name
    if last is None:
        return Signed(name, _("not yet"), is_good=False, last=None)
    if not asks(standing):
        return Signed(name, _("signed off"), is_good=True, last=last)
    pair = urlencode({"old": last.version_id, "new": standing.version.pk})
    return Signed(name, _("again"), is_good=False, last=last, changed=f"{differences.address(standing.version)}?{pair}")
