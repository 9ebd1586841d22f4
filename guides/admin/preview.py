"""A version as customers read it, for staff only."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import override

from guides.calculations.validity import OutOfRange
from guides.lifecycle import content
from guides.models import GuideVersion
from guides.presenters import guide_sheet
from guides.queries import evidence


def page(request: HttpRequest, version: GuideVersion) -> HttpResponse:
    """Render the customers' page from a version as it is saved, under a banner that says what it is."""
    back, language, lot = _desk(version), version.language, evidence.lot_for(version)
    try:
        sheet = guide_sheet.build(version, lot=lot, language=language, today=timezone.localdate())
    except OutOfRange:
        for refusal in content.refusals(version):
            messages.error(request, str(refusal))
        return HttpResponseRedirect(back)
    with override(language):
        return HttpResponse(
            render_to_string(
                "guides/admin/preview.html",
                {"sheet": sheet, "language": language, "state": version.revision_label, "back": back},
            )
        )


def _desk(version: GuideVersion) -> str:
    return reverse("admin:guides_guideversion_change", args=[version.pk])
