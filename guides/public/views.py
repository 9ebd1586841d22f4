"""Pages without a bag: one coffee, one guide, how numbers are made. Load, present, render."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext, override
from django.views.decorators.http import require_safe

from guides.choices import State
from guides.models import Coffee, Guide
from guides.presenters import asked, embedding, listing, meaning, pictures, workings
from guides.queries import catalogue, house, nearest, versions

from . import adapting, counting, page, share, speaking
from .kept import kept


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """Send a reader to the page in their language."""
    with override(speaking.offered(request, house.current().languages)):
        response = HttpResponseRedirect(reverse("home"))
    response.headers["Cache-Control"] = page.REVALIDATE
    patch_vary_headers(response, ["Accept-Language"])
    return response


@require_safe
@kept
def coffee(request: HttpRequest, slug: str) -> HttpResponse:
    """Show one coffee and its guides."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    found = get_object_or_404(Coffee.objects.select_related("picture", "merged_into"), slug=slug)
    if found.merged_into is not None:
        # Not for good as browsers take it: those would go on past what a restored backup says.
        return HttpResponseRedirect(reverse("coffee", args=[found.remaining.slug]))
    guides = catalogue.of_coffee(found)
    if not guides:
        raise Http404
    context = {
        "coffee": found,
        "picture": pictures.of_row(getattr(found, "picture", None), language),
        "guides": [listing.line(version, language) for version in guides],
    }
    links = page.links(roastery, "coffee", slug=slug)
    return page.show(
        request,
        "coffee.html",
        context,
        house=roastery,
        language=language,
        links=links,
        preview=page.Preview(found.name, found.description),
        things=[meaning.product(found, roastery, language)],
    )


@require_safe
@kept
def guide(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the newest revision of a guide, or the notice where every one is withdrawn."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    found = get_object_or_404(Guide, slug=slug)
    version = versions.current(found) or versions.history_whole(found).first()
    if version is None:
        raise Http404
    wanted = adapting.shown(request, version, language=language, today=timezone.localdate())
    if wanted.moved:
        return adapting.redirect(wanted.moved)
    sheet, context = wanted.sheet, wanted.context
    if version.state == State.WITHDRAWN:
        instead = nearest.to(version)
        context["instead"] = instead and listing.line(instead, language)
    else:
        context["asked"] = asked.beside(version, language)
        context["oembed"] = "" if wanted.personal else embedding.oembed_address(slug, language)
    links = page.links(roastery, "guide", slug=slug)
    response = page.show(
        request,
        wanted.template,
        context,
        house=roastery,
        language=language,
        links=links,
        status=wanted.status,
        cache=wanted.cache,
        preview=share.preview(sheet, roastery, version, personal=wanted.personal),
        things=() if wanted.personal else meaning.of_guide(sheet, found.coffee, roastery),
    )
    response = adapting.marked(response, wanted)
    return response if wanted.asking else counting.opened(request, response, found.pk)


@require_safe
@kept
def numbers(request: HttpRequest) -> HttpResponse:
    """Show how the numbers are made."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    with override(language):
        preview = page.Preview(gettext("How these numbers are made"))
    return page.show(
        request,
        "numbers.html",
        {"work": workings.workings(language)},
        house=roastery,
        language=language,
        links=page.links(roastery, "numbers"),
        preview=preview,
    )


@require_safe
@kept
def constants(request: HttpRequest) -> HttpResponse:
    """Show every constant of the formulas and every source."""
    roastery = house.current()
    language = speaking.of_address(roastery)
    with override(language):
        preview = page.Preview(gettext("Constants and sources"))
    return page.show(
        request,
        "constants.html",
        {"founded": workings.foundations(language)},
        house=roastery,
        language=language,
        links=page.links(roastery, "constants"),
        preview=preview,
    )
