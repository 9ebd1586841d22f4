"""Sending a brew to the roastery, for who chooses to: a form of its own, uncached, without cookie, guarded."""

from __future__ import annotations

from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from guides.lifecycle import form_token, home_brew
from guides.lifecycle.errors import Refused
from guides.lifecycle.form_token import TokenRefused
from guides.lifecycle.rate_limit import Rate
from guides.models.home_brew import LONGEST
from guides.presenters import adapt_request
from guides.presenters.adapt_request import AdaptRequest
from guides.queries import house

from . import brewing, guards, page
from .guards import Guard, Stopped

_RATES: Final = (Rate(6, 600), Rate(40, 24 * 3600))


# The guards' own token and origin check stand in for the cookie that public pages do without.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def send(request: HttpRequest, slug: str = "", code: str = "", tail: str = "") -> HttpResponse:
    """Show what is about to be sent; take it; say that it arrived."""
    found = brewing.brewed(request, slug, code, tail)
    if isinstance(found, HttpResponse):
        return found
    guard = Guard("home_brew", f"home_brew:{found.version.pk}", _RATES)
    text, drained = request.POST.get("text", "")[: 2 * LONGEST], request.POST.get("drained", "")[:6]
    context: dict[str, Any] = {
        "guide_href": found.guide_href,
        "brew_href": found.brew_href,
        "longest": LONGEST,
        "kept_days": home_brew.KEPT_DAYS,
    }
    context.update(text=text, drained=drained)
    status = 200
    stopped: Stopped | None = None
    if request.method == "POST":
        try:
            token = guards.check(request, guard)
            try:
                home_brew.take(
                    found.version,
                    found.kept,
                    token=token,
                    language=found.language,
                    text=text,
                    drained=drained,
                    grinder=(adapt_request.parse(request.GET).request or AdaptRequest()).grinder,
                    lot=found.lot,
                )
            except TokenRefused as refused:
                raise guards.stopped_by(refused, guard) from refused
            except Refused as refused:
                raise Stopped(400, str(refused.refusals[0].message), form_token.issue(guard.purpose)) from refused
            context["arrived"] = True
        except Stopped as stop:
            stopped, status = stop, stop.status
            context.update(problem=stop.message, token=stop.token)
    else:
        context["token"] = form_token.issue(guard.purpose)
    response = page.show(
        request,
        "send_brew.html",
        context,
        house=house.current(),
        language=found.language,
        links={},
        status=status,
        cache="no-store",
    )
    return stopped.mark(response) if stopped else response
