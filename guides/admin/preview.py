"""A draft as customers will read it, for staff only."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone

from guides.calculations.validity import OutOfRange
from guides.lifecycle import content
from guides.models import GuideVersion
from guides.presenters import guide_sheet
from guides.queries import evidence


def page(request: HttpRequest, version: GuideVersion) -> HttpResponse:
    """Render the customers' page from a version as it is saved, under a banner that says what it is."""
    try:
        sheet = guide_sheet.build(
            version, lot=evidence.lot_for(version), language=version.language, today=timezone.localdate()
        )
    except OutOfRange:
        for refusal in content.refusals(version):
            messages.error(request, str(refusal))
        return HttpResponseRedirect(reverse("admin:guides_guideversion_change", args=[version.pk]))
    return TemplateResponse(request, "guides/admin/preview.html", {"sheet": sheet, "version": version})
