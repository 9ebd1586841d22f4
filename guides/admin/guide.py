"""Guides: their lasting identity, and where each stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.contrib import admin, messages
from django.db.models import Exists, Max, OuterRef, Q, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Opened, State
from guides.lifecycle import draft
from guides.models import Event, Guide, GuideVersion, User
from guides.presenters import embedding, listing
from guides.queries import code_records, house, opens, versions

from . import beginning
from .acts import Act, ActsAdmin
from .desk import Desk, ReadOnly
from .forms import NamedFieldsForm
from .mixins import ActHistory
from .retiring import RETIRE
from .waiting_filters import CheckBrewFilter


def _open_next(guide: Guide, by: User, _data: dict[str, Any]) -> GuideVersion:
    return draft.open_next(guide, by=by)


def _ready_for_next(guide: Guide) -> bool:
    states = {version.state for version in guide.versions.all()}
    return bool(states) and not states & {State.DRAFT, State.IN_REVIEW}


OPEN_NEXT = Act(
    name="open-next",
    label=_("Open the next draft"),
    explain=_("A copy of the newest revision to work on. What is printed stays as it is."),
    done=_("Here is the draft; %(object)s."),
    may=lambda user, _guide: user.has_perm("guides.add_guideversion"),
    fits=_ready_for_next,
    run=_open_next,
)


class StandsFilter(admin.SimpleListFilter):
    title = _("where it stands")
    parameter_name = "stands"
    _WITH = {"review": State.IN_REVIEW, "draft": State.DRAFT, "published": State.PUBLISHED}

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [
            ("review", _("waits for review")),
            ("draft", _("being written")),
            ("published", _("published")),
            ("unpublished", _("no published version")),
        ]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Guide]) -> QuerySet[Guide]:
        wanted = self.value()
        if wanted == "unpublished":
            return queryset.exclude(_has(State.PUBLISHED))
        return queryset.filter(_has(self._WITH[wanted])) if wanted in self._WITH else queryset


class LotsFilter(admin.SimpleListFilter):
    title = _("lots")
    parameter_name = "lots"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("none", _("on no lot"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Guide]) -> QuerySet[Guide]:
        return queryset.filter(assignments__isnull=True) if self.value() == "none" else queryset


@dataclass(frozen=True)
class Embedded:
    """What shows a guide on another site, in one language."""

    language: str
    name: str
    frame: str


def embedded(guide: Guide) -> list[Embedded]:
    """Give what to copy for each language; nothing while nothing is published."""
    version = versions.current(guide)
    if version is None:
        return []
    names = dict(settings.LANGUAGES)
    titles = {code: listing.line(version, code).title for code in house.current().languages}
    return [
        Embedded(code, str(names.get(code, code)), embedding.frame(guide.slug, title, code))
        for code, title in titles.items()
    ]


def _has(state: str) -> Exists:
    return Exists(GuideVersion.objects.filter(guide=OuterRef("pk"), state=state))


class GuideForm(NamedFieldsForm):
    """A new guide needs only its coffee: number and address word are proposed."""

    class Meta:
        help_texts = {"slug": _("Lower-case words and hyphens, such as rope-walk-small. Empty: made for you.")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "slug" in self.fields:
            self.fields["slug"].required = False

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("slug") and cleaned.get("coffee") and cleaned.get("number") and "slug" not in self.errors:
            cleaned["slug"] = f"{cleaned['coffee'].slug[:70]}-{cleaned['number']}"
        return cleaned


class VersionInline(ReadOnly, admin.TabularInline):
    model = GuideVersion
    fk_name = "guide"
    fields = ("title", "state", "revision", "brewer", "published_at")
    readonly_fields = fields
    ordering = ("-created_at",)
    template = "guides/admin/versions.html"
    verbose_name_plural = _("Versions")

    def get_queryset(self, request: HttpRequest) -> QuerySet[GuideVersion]:
        return super().get_queryset(request).select_related("brewer")


@admin.register(Guide)
class GuideAdmin(ActHistory, ActsAdmin, Desk):
    form = GuideForm
    acts = (OPEN_NEXT, RETIRE)
    inlines = (VersionInline,)
    change_form_template = "guides/admin/guide_form.html"
    list_display = ("number", "slug", "coffee", "newest", "being_written", "waits", "opened_lately")
    list_display_links = ("number", "slug")
    list_filter = (StandsFilter, CheckBrewFilter, LotsFilter, "coffee")
    list_select_related = ("coffee",)
    search_fields = ("slug", "coffee__name", "versions__title")
    fields = ("coffee", ("number", "slug"))

    def get_inlines(self, request: HttpRequest, obj: Guide | None) -> Any:
        return self.inlines if obj else ()

    def get_queryset(self, request: HttpRequest) -> QuerySet[Guide]:
        guides: QuerySet[Guide] = (
            super()
            .get_queryset(request)
            .annotate(
                newest_revision=Max("versions__revision", filter=Q(versions__state=State.PUBLISHED)),
                has_draft=_has(State.DRAFT),
                has_review=_has(State.IN_REVIEW),
                times_opened=opens.times(Opened.PAGE, timezone.localdate()),
            )
        )
        return guides

    def get_changeform_initial_data(self, request: HttpRequest) -> dict[str, Any]:
        return {"number": code_records.highest_number() + 1, **super().get_changeform_initial_data(request)}

    def get_readonly_fields(self, request: HttpRequest, obj: Guide | None = None) -> tuple[str, ...]:
        # The number and the address word are on inserts once a version has been published.
        printed = obj is not None and obj.versions.filter(revision__isnull=False).exists()
        return ("coffee", "number", "slug") if printed else ()

    def has_delete_permission(self, request: HttpRequest, obj: Guide | None = None) -> bool:
        return super().has_delete_permission(request, obj) and not (obj and obj.versions.exists())

    @admin.display(description=_("published revision"), ordering="newest_revision")
    def newest(self, guide: Any) -> Any:
        return guide.newest_revision

    @admin.display(description=_("being written"), boolean=True)
    def being_written(self, guide: Any) -> bool:
        return bool(guide.has_draft)

    @admin.display(description=_("waits for review"), boolean=True)
    def waits(self, guide: Any) -> bool:
        return bool(guide.has_review)

    @admin.display(description=_("opened in four weeks, at least"), ordering="times_opened")
    def opened_lately(self, guide: Any) -> Any:
        return guide.times_opened

    def events_of(self, obj: Any) -> QuerySet[Event]:
        return Event.objects.filter(guide=obj)

    def response_add(self, request: HttpRequest, obj: Guide, post_url_continue: str | None = None) -> HttpResponse:
        stock = super().response_add(request, obj, post_url_continue)
        if {"_addanother", "_popup"} & set(request.POST) or not request.user.has_perm("guides.add_guideversion"):
            return stock
        messages.info(request, _("Now write its first version."))
        return HttpResponseRedirect(f"{reverse('admin:guides_guideversion_add')}?guide={obj.pk}")

    def about(self, request: HttpRequest, obj: Guide) -> dict[str, Any]:
        unwritten = not obj.versions.exists() and request.user.has_perm("guides.add_guideversion")
        return {
            "unwritten": unwritten,
            "embed": embedded(obj),
            "offers": beginning.offers(obj) if unwritten else (),
        }
