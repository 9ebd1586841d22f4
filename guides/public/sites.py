"""What the code on a site's wall sheet leads to: the guide as its water and height want it today."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from guides.models import Guide
from guides.presenters import addresses
from guides.presenters import sites as presented
from guides.queries import house, sites

from . import adapting, errors, speaking


@require_safe
def scanned(request: HttpRequest, code: str, tail: str) -> HttpResponse:
    """Lead to the guide of a sheet; an unknown code, guide or edition answers like every unknown address."""
    site, edition = sites.by_code(code), addresses.read_edition(tail)
    guide = edition and Guide.objects.filter(number=edition.guide, versions__revision__isnull=False).first()
    if site is None or edition is None or not guide:
        return errors.not_found(request)
    language = speaking.offered(request, house.current().languages, edition.language)
    return adapting.redirect(presented.guide_href(site, guide, language))
