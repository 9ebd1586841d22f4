"""Sites: their water and height, what hangs on their walls, and who is signed off for what."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin, messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Model, QuerySet, prefetch_related_objects
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import URLPattern, path
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.calculations.thermal import boiling_point_c
from guides.documents.errors import InsertRefused
from guides.documents.site_sheet import wall_sheet
from guides.lifecycle import sites as site_record
from guides.lifecycle.sign_off import sign_off
from guides.models import Site, Trainee, User
from guides.presenters import sites as presented
from guides.presenters.numbers import Figures
from guides.queries import sites
from guides.queries.versions import languages

from .acts import Act, ActForm, ActsAdmin, current_user
from .choosing import ListedBoxes, RowsField
from .desk import Desk, RowsInline
from .finding import cleaned
from .site_page import learnt, sheets, signing_choices

_MOST_SIGNED = 40
_SOUGHT = "sheet"


class SignOffForm(ActForm):
    """Who brewed what: everybody who is asked for, those who were signed off for an earlier revision first."""

    brewed = forms.MultipleChoiceField(label=_("Brewed before your eyes"), widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["brewed"].choices = [(key, words) for key, words, _pair in signing_choices(self.obj)]  # type: ignore[attr-defined]


def _sign_off(site: Site, by: User, data: dict[str, Any]) -> Site:
    chosen = [pair for key, _words, pair in signing_choices(site) if key in data["brewed"]]
    with transaction.atomic():
        for guide in sorted({version.guide for _trainee, version in chosen}, key=lambda guide: guide.number):
            sign_off(site, guide, [trainee for trainee, version in chosen if version.guide_id == guide.pk], by=by)
    return site


SIGN_OFF = Act(
    name="sign-off",
    label=_("Sign trainees off"),
    explain=_(
        "You have seen them brew the guide as it is written now. It is kept for good with your name, the revision and "
        "the day; a revision with other numbers or steps asks again."
    ),
    done=_("Signed off at %(object)s."),
    may=lambda user, _site: user.has_perm("guides.sign_off_trainee"),
    fits=lambda site: bool(signing_choices(site)),
    run=_sign_off,
    form=SignOffForm,
)


class GuideChoices(RowsField):
    def label_from_instance(self, guide: Any) -> str:
        return str(guide.title)


class TraineeInline(RowsInline):
    model = Trainee
    fields = ("name", "has_left")
    can_delete = False
    verbose_name_plural = _("Trainees")
    description = _("Whoever learns here. A name may be written over with initials when somebody leaves.")


@admin.register(Site)
class SiteAdmin(ActsAdmin, Desk):
    acts = (SIGN_OFF,)
    change_form_template = "guides/admin/site_form.html"
    inlines = (TraineeInline,)
    list_display = ("name", "place", "altitude_m", "boils", "tap_hardness_mg_l", "tap_alkalinity_mg_l")
    search_fields = ("name", "place")
    fieldsets = (
        (None, {"fields": (("name", "place"),)}),
        (_("Height and water"), {"fields": ("altitude_m", ("tap_hardness_mg_l", "tap_alkalinity_mg_l"))}),
        (_("Brewing there"), {"fields": ("brewers", "grinder", "guides")}),
    )

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.wall_view)
        own = path("<path:object_id>/wall/<int:guide>/<slug:language>.pdf", view, name="guides_site_wall")
        return [own, *super().get_urls()]

    def has_delete_permission(self, request: HttpRequest, obj: Site | None = None) -> bool:
        return False  # its code hangs on walls

    def formfield_for_manytomany(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        if db_field.name == "brewers":
            kwargs |= {"form_class": RowsField, "widget": ListedBoxes}
        if db_field.name == "guides":
            kwargs |= {"form_class": GuideChoices, "widget": ListedBoxes, "queryset": sites.titled()}
        return super().formfield_for_manytomany(db_field, request, **kwargs)

    def save_related(self, request: HttpRequest, form: Any, formsets: Any, change: bool) -> None:
        super().save_related(request, form, formsets, change)
        (trainees,) = formsets
        touched = [row.pk for row in trainees.new_objects] + [row.pk for row, _fields in trainees.changed_objects]
        fields = {name: (_told(form.initial.get(name)), _told(form.cleaned_data[name])) for name in form.changed_data}
        if touched or fields or not change:
            site_record.record(
                form.instance, by=current_user(request), is_new=not change, fields=fields, trainees=touched
            )

    @admin.display(description=_("boils at"))
    def boils(self, site: Site) -> str:
        return Figures(get_language() or "en").celsius(boiling_point_c(site.altitude_m))

    def about(self, request: HttpRequest, obj: Site) -> dict[str, Any]:
        prefetch_related_objects([obj], "brewers__vessel")
        sought, may_print = cleaned(request.GET.get(_SOUGHT)), request.user.has_perm("guides.print_lot")
        others, more = sites.others(obj, sought)
        return {
            "site_facts": presented.facts(obj, get_language() or "en"),
            "sheets": sheets(obj, sites.shown(obj), may_print=may_print),
            "others": sheets(obj, others, may_print=may_print),
            "more": more,
            "sought": sought,
            "sought_name": _SOUGHT,
            "learnt": learnt(sites.standings([obj])),
            "signed": sites.signed_at(obj)[:_MOST_SIGNED],
        }

    def wall_view(self, request: HttpRequest, object_id: str, guide: int, language: str) -> HttpResponse:
        site = self.get_object(request, object_id)
        if site is None:
            raise Http404
        if not request.user.has_perm("guides.print_lot") or not self.has_view_permission(request, site):
            raise PermissionDenied
        version = sites.printable(guide)
        if version is None or language not in languages(version):
            raise Http404
        try:
            pdf = wall_sheet(site, version, language)
        except InsertRefused as refused:
            self.message_user(request, str(refused), messages.ERROR)
            return HttpResponseRedirect(self.change_address(site))
        name = f"{site.code}-{guide}.{version.revision}.{language}.pdf"
        return HttpResponse(
            pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
        )


def _told(value: Any) -> str:
    """A value of the form as the trail keeps it: rows by their keys."""
    if isinstance(value, Model):
        return str(value.pk)
    if isinstance(value, (list, tuple, QuerySet)):
        return ", ".join(sorted(_told(each) for each in value))
    return "" if value is None else str(value)
