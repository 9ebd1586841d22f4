"""What a second person needs at a version: to read it, to compare it, to brew from it, and to say what to change."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib import messages
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.lifecycle.errors import Refused
from guides.lifecycle.resolve import resolve
from guides.models import GuideVersion
from guides.queries import evidence, reviews, versions

from . import check_brew, check_panel
from .acts import THEN, ActsAdmin, current_user
from .differences import Differences, compared
from .row_page import RowPage

_DONE = "done-"


class Reviewed(Differences, RowPage):
    """Adds the pages of a review to the versions, and a reviewer's comments to a draft that came back."""

    class Media:
        css: ClassVar = {"all": ["css/review.css"]}

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.review_view)
        return [path("<path:object_id>/review/", view, name="guides_guideversion_review"), *super().get_urls()]

    def review_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        version = self.get_object(request, unquote(object_id))
        if not self.has_view_or_change_permission(request, version):
            raise PermissionDenied
        if version is None:
            raise Http404
        back = reverse("admin:guides_guideversion_change", args=[version.pk])
        if version.state != State.IN_REVIEW:
            messages.warning(request, _("This version is not in review, so there is nothing to review now."))
            return HttpResponseRedirect(back)
        current = versions.current(version.guide)
        context = {
            **self.admin_site.each_context(request),
            "title": _("Review"),
            "opts": self.opts,
            "original": version,
            "back": back,
            "submission": reviews.submission(version),
            "missed": reviews.missed(version),
            "check": check_panel.of(version),
            "pair": compared(current, version) if current else None,
            "brews": list(evidence.check_brews(version).select_related("lot", "brewed_by")),
            "brew_address": check_brew.address(version) if request.user.has_perm("guides.add_trialbrew") else "",
            "comments": list(reviews.comments(version)),
            "acts": self._acts(request, version),
        }
        return TemplateResponse(request, "guides/admin/review_page.html", context)

    def _acts(self, request: HttpRequest, version: GuideVersion) -> list[Any]:
        assert isinstance(self, ActsAdmin)  # noqa: S101 - the versions' page has acts; this tells the type checker
        return [(act, self.act_address(version, act)) for act in self.offered(request, version)]

    def beside(self, request: HttpRequest, obj: GuideVersion | None) -> dict[str, Any]:
        shown = super().beside(request, obj)
        if obj is None:
            return shown
        missed = reviews.missed(obj) if obj.state == State.IN_REVIEW else None
        return {**shown, "comments": list(reviews.comments(obj)), "missed": missed}

    def response_change(self, request: HttpRequest, obj: Any) -> HttpResponse:
        """A comment's button has saved the form; mark the comment done and go on writing."""
        wanted = request.POST.get(THEN, "")
        if not wanted.startswith(_DONE):
            return super().response_change(request, obj)
        comment = (
            obj.comments.filter(pk=wanted.removeprefix(_DONE)).first()
            if wanted.removeprefix(_DONE).isdecimal()
            else None
        )
        try:
            if comment is not None:
                resolve(comment, by=current_user(request))
                messages.success(request, _("Saved, and the comment is marked done."))
        except Refused as refused:
            messages.error(request, str(refused))
        return HttpResponseRedirect(reverse("admin:guides_guideversion_change", args=[obj.pk]))
