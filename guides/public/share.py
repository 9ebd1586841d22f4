"""The picture of a guide for those who pass its link on."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.http import require_safe

from guides.choices import State
from guides.documents import share_picture
from guides.models import Guide, GuideVersion, Roastery
from guides.presenters import guide_sheet
from guides.presenters.sheet import GuideSheet
from guides.queries import house, versions

from . import page
from .media import FOREVER


def preview(sheet: GuideSheet, house: Roastery, version: GuideVersion, *, personal: bool) -> page.Preview:
    """What is shown of a guide elsewhere; with its picture while it is published as it stands."""
    shown = None if personal or version.state != State.PUBLISHED else share_picture.about(sheet, house)
    return page.Preview(sheet.title, sheet.summary, "article", shown)


@require_safe
def picture(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Answer with the picture of the newest revision; an older key leads there, or shows what it always showed."""
    roastery, language = house.current(), get_language() or ""
    version = versions.current(get_object_or_404(Guide, slug=slug))
    if version is None or language not in roastery.languages:
        raise Http404
    sheet = guide_sheet.build(version, language=language, today=timezone.localdate())
    now = share_picture.about(sheet, roastery)
    png = share_picture.png(sheet, roastery) if key == now.key else share_picture.stored(key)
    if png is None:
        return HttpResponseRedirect(now.address)
    response = HttpResponse(png, content_type="image/png")
    response.headers["Cache-Control"] = FOREVER
    response.headers["ETag"] = f'"{key}"'
    response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    return response
