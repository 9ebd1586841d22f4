"""What the code on a site's wall sheet leads to: the guide as its water and height want it today."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from guides.models import Site
from guides.presenters import addresses, listing
from guides.presenters import sites as presented
from guides.presenters.addresses import Edition
from guides.queries import house, sites, versions

from . import adapting, errors, page, speaking


@require_safe
def scanned(request: HttpRequest, code: str, tail: str) -> HttpResponse:
    """Lead to the guide of a sheet; an unknown code or edition answers like every unknown address."""
    site, edition = sites.by_code(code), addresses.read_edition(tail)
    if site is None or edition is None:
        return errors.not_found(request)
    language = speaking.offered(request, house.current().languages, edition.language)
    version = versions.newest_numbered(edition.guide)
    if not version:
        return _holding(request, site, edition, language)
    return adapting.redirect(presented.guide_href(site, version, language))


def _holding(request: HttpRequest, site: Site, edition: Edition, language: str) -> HttpResponse:
    """A sheet whose guide is not here, as after an older backup: say so, and show what is taught there besides."""
    roastery = house.current()
    here = {
        code: reverse("site_sheet", args=[site.code, Edition(edition.guide, edition.revision, code)])
        for code in roastery.languages
    }
    response = page.show(
        request,
        "site_holding.html",
        {"guides": [listing.line(version, language) for version in sites.shown(site)]},
        house=roastery,
        language=language,
        links=here,
        cache=page.REVALIDATE,
    )
    # A code is for whoever stands before the sheet.
    response.headers["X-Robots-Tag"] = "noindex"
    return response
