"""A version as customers read it, for staff only."""

from __future__ import annotations

from django.http import HttpResponse
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import override

from guides.models import GuideVersion
from guides.presenters import guide_sheet
from guides.presenters.guide_sheet import GuideSheet
from guides.queries import evidence


def sheet(version: GuideVersion, language: str) -> GuideSheet:
    """Give the sheet of a version as it is saved, with the lot it speaks of.

    Raises:
        OutOfRange: a number that no brew has.
    """
    return guide_sheet.build(version, lot=evidence.lot_for(version), language=language, today=timezone.localdate())


def page(version: GuideVersion, language: str, back: str) -> HttpResponse:
    """Render the customers' page under a banner that says what it is.

    Raises:
        OutOfRange: as by ``sheet``.
    """
    shown = sheet(version, language)
    with override(language):
        context = {"sheet": shown, "language": language, "state": version.revision_label, "back": back}
        return HttpResponse(render_to_string("guides/admin/preview.html", context))
