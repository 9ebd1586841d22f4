"""A guide for a projector: read from the back of a training room, nothing to press, as an address asks for it."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from guides.models import Guide
from guides.queries import house, versions

from . import adapting, page, speaking
from .kept import kept


@require_safe
@kept
def show(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the newest revision large; a wish that cannot be kept goes to the guide's page, which says why."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    version = versions.current(get_object_or_404(Guide, slug=slug))
    if version is None:
        raise Http404
    wanted = adapting.shown(request, version, language=language, today=timezone.localdate())
    query = request.META.get("QUERY_STRING", "")
    href = reverse("guide", args=[slug]) + (f"?{query}" if query else "")
    if wanted.asking:
        return adapting.redirect(href)
    if wanted.moved:
        return adapting.redirect(wanted.moved)
    response = page.show(
        request,
        "screen.html",
        {"sheet": wanted.sheet, "guide_href": href},
        house=roastery,
        language=language,
        links=page.links(roastery, "screen", slug=slug),
        cache=wanted.cache,
    )
    response.headers["X-Robots-Tag"] = "noindex"
    return response
