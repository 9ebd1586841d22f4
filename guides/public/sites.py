"""What the code on a site's wall sheet leads to: the guide as its water and height want it today."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from guides.presenters import addresses
from guides.presenters import sites as presented
from guides.queries import house, sites, versions

from . import adapting, errors, speaking


@require_safe
def scanned(request: HttpRequest, code: str, tail: str) -> HttpResponse:
    """Lead to the guide of a sheet; an unknown code, guide or edition answers like every unknown address."""
    site, edition = sites.by_code(code), addresses.read_edition(tail)
    version = edition and versions.newest_numbered(edition.guide)
    if site is None or edition is None or not version:
        return errors.not_found(request)
    language = speaking.offered(request, house.current().languages, edition.language)
    return adapting.redirect(presented.guide_href(site, version, language))
