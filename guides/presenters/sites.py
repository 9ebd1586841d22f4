"""A site as guides are adapted to it: the same wishes that a reader would type, and the address its sheets carry.

    HTTPS://GUIDES.EXAMPLE/S/7K2M9QX4/12.3.SV  the wall sheet of guide 12, revision 3, in Swedish, at one site

It leads to the guide as it is adapted to the site's water, height and brewers on the day it is scanned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext, override

from guides.calculations.thermal import boiling_point_c
from guides.models import Brewer, GuideVersion, Site

from . import water_words
from .adapt_request import AdaptRequest, to_query
from .addresses import Edition
from .numbers import Figures


@dataclass(frozen=True)
class SiteAddress:
    """The printed address of a wall sheet, taken apart."""

    base: str
    code: str
    edition: Edition

    @property
    def path(self) -> str:
        return f"/S/{self.code}/{self.edition}"

    def __str__(self) -> str:
        return f"{self.base.upper()}{self.path}"


def address_of(site: Site, guide: int, revision: int, language: str) -> SiteAddress:
    """Give the address a wall sheet of this site carries."""
    return SiteAddress(settings.PUBLIC_BASE_URL, site.code, Edition(guide, revision, language))


def request_of(site: Site, written_for: Brewer) -> AdaptRequest:
    """Give what a site asks of a guide that is written for a brewer."""
    return AdaptRequest(
        brewer=_instead_of(written_for, list(site.brewers.all())),
        altitude=float(site.altitude_m),
        hardness=_given(site.tap_hardness_mg_l),
        alkalinity=_given(site.tap_alkalinity_mg_l),
        grinder=site.grinder.slug if site.grinder else "",
    )


def guide_href(site: Site, version: GuideVersion, language: str, name: str = "guide") -> str:
    """Give the path of a guide's page as a site reads it; ``name`` chooses another page of the guide."""
    query = to_query(request_of(site, version.brewer))
    with override(language):
        return f"{reverse(name, kwargs={'slug': version.guide.slug})}?{query}"


def facts(site: Site, language: str) -> str:
    """Say in a line what guides are adapted to here."""
    figures = Figures(language)
    with override(language):
        parts = [
            figures.metres(site.altitude_m),
            gettext("water boils at %(boils)s") % {"boils": figures.celsius(boiling_point_c(site.altitude_m))},
        ]
        parts += water_words.said(site.tap_hardness_mg_l, site.tap_alkalinity_mg_l, figures)
        return ", ".join(parts)


def _instead_of(brewer: Brewer, there: Sequence[Brewer]) -> str:
    """The address word of the brewer to take where a guide's own does not stand: as much alike as there is.

    One that lets water out in the same way, then one that holds about as much.
    """
    if not there or brewer in there:
        return ""
    holds = brewer.vessel.usable_ml
    return min(there, key=lambda each: (each.outflow != brewer.outflow, abs(each.vessel.usable_ml - holds))).slug


def _given(value: int | None) -> float | None:
    return None if value is None else float(value)
