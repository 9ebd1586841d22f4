"""The way from a version in review to the log of a check brew, with nothing to type again."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from guides.choices import State
from guides.models import GuideVersion, TrialBrew
from guides.queries import evidence

_PLANNED = ("dose_g", "water_g", "bypass_g", "kettle_c", "grind_um")


def address(version: GuideVersion) -> str:
    """Give the form for a check brew from a version, filled with what it plans for the newest lot."""
    lot = evidence.lot_for(version)
    known = {
        "version": version.pk,
        "is_check_brew": 1,
        "brewer": version.brewer_id,
        **{name: getattr(version, name) for name in _PLANNED},
        **({"lot": lot.pk} if lot else {}),
    }
    return f"{reverse('admin:guides_trialbrew_add')}?{urlencode(known)}"


class BackToReview:
    """For the brews: whoever logs a check brew of a version in review goes on with the review."""

    def response_add(self, request: HttpRequest, obj: TrialBrew, post_url_continue: str | None = None) -> HttpResponse:
        stock: HttpResponse = super().response_add(request, obj, post_url_continue)  # type: ignore[misc]
        reviewed = obj.is_check_brew and obj.version is not None and obj.version.state == State.IN_REVIEW
        if obj.version is None or not reviewed or {"_addanother", "_continue", "_popup"} & set(request.POST):
            return stock
        return HttpResponseRedirect(reverse("admin:guides_guideversion_review", args=[obj.version.pk]))
