"""List filters that ask what the start of the desk asks, so that both show the same rows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.models import Guide, GuideVersion, Lot, TrialBrew, User
from guides.queries import desk_work, house, losses, misfits, unchecked, untranslated, windows

from .acts import current_user


class MineFilter(admin.SimpleListFilter):
    title = _("what waits for me")
    parameter_name = "mine"
    _ASKED: ClassVar[dict[str, tuple[str | Promise, Callable[[User], QuerySet[GuideVersion]]]]] = {
        "returned": (_("returned to me"), desk_work.returned_to),
        "drafts": (_("my open drafts"), desk_work.open_drafts_of),
        "approve": (_("in review, by others"), desk_work.to_approve_by),
        "publish": (_("approved, to be published"), lambda _user: desk_work.to_publish()),
        "brew": (_("in review, to brew from"), desk_work.to_brew_by),
    }

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [(key, label) for key, (label, _rows) in self._ASKED.items()]

    def queryset(self, request: HttpRequest, queryset: QuerySet[GuideVersion]) -> QuerySet[GuideVersion]:
        wanted = self._ASKED.get(self.value() or "")
        return queryset.filter(pk__in=wanted[1](current_user(request)).values("pk")) if wanted else queryset


class TranslationFilter(admin.SimpleListFilter):
    title = _("translation")
    parameter_name = "translation"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("behind", _("missing or outdated"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[GuideVersion]) -> QuerySet[GuideVersion]:
        if self.value() != "behind":
            return queryset
        return queryset.filter(pk__in=untranslated.versions(house.current().languages).values("pk"))


class CheckBrewFilter(admin.SimpleListFilter):
    title = _("check brew")
    parameter_name = "check"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("missing", _("none with the newest lot"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Guide]) -> QuerySet[Guide]:
        return queryset.filter(pk__in=unchecked.versions().values("guide")) if self.value() == "missing" else queryset


class WindowFilter(admin.SimpleListFilter):
    title = _("window")
    parameter_name = "window"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("turning", _("begins or ends these days"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Lot]) -> QuerySet[Lot]:
        if self.value() != "turning":
            return queryset
        return queryset.filter(pk__in={turn.lot.pk for turn in windows.turns(timezone.localdate())})


class MissedFilter(admin.SimpleListFilter):
    title = _("the guide's window")
    parameter_name = "window"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("missed", _("missed by a check brew, not answered"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[TrialBrew]) -> QuerySet[TrialBrew]:
        if self.value() != "missed":
            return queryset
        return queryset.filter(pk__in=[found.brew.pk for found in misfits.waiting()])


class LossFilter(admin.SimpleListFilter):
    title = _("roast loss")
    parameter_name = "loss"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("off", _("off the coffee's own history, not explained"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Lot]) -> QuerySet[Lot]:
        if self.value() != "off":
            return queryset
        return queryset.filter(pk__in=[lot.pk for lot, _loss in losses.unexplained(timezone.localdate())])
