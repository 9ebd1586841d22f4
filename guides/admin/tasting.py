"""Blind tastings: opened with a few ticks, revealed with one button, told honestly."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin, messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.choices import TastingKind
from guides.codes import qr
from guides.lifecycle.tastings.open import Thing, open_tasting, refusals
from guides.lifecycle.tastings.reveal import reveal
from guides.models import Lot, Tasting, TrialBrew, User
from guides.presenters import addresses, tasting_addresses
from guides.presenters import tastings as presented
from guides.queries import tastings

from .acts import Act, ActsAdmin, current_user
from .desk import Desk
from .forms import NamedFieldsForm
from .period import by_period


def _reveal(tasting: Tasting, by: User, _data: dict[str, Any]) -> Tasting:
    return reveal(tasting, by=by)


REVEAL = Act(
    name="reveal",
    label=_("Reveal the cups"),
    explain=_("Everybody sees what was in the cups and what was chosen. No notes are taken from then on."),
    done=_("Revealed: %(object)s."),
    may=lambda user, _tasting: user.has_perm("guides.change_tasting"),
    fits=lambda tasting: not tasting.is_revealed,
    run=_reveal,
    danger=True,
)


class OpenForm(NamedFieldsForm):
    """What is poured is ticked in two lists; ``things`` is what was ticked, once it is clean."""

    cups = forms.MultipleChoiceField(
        label=_("In the cups"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Two to four; two for a triangle test. Codes are given when it is saved."),
    )
    things: tuple[Thing, ...] = ()

    class Meta:
        model = Tasting
        fields = ("kind", "title")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "cups" in self.fields:
            self._offered = {_key(thing): thing for thing in tastings.offered()}
            self.fields["cups"].choices = [  # type: ignore[attr-defined]
                (_("trial brews"), [(key, _name(each)) for key, each in self._offered.items() if key[0] == "b"]),
                (_("lots"), [(key, _name(each)) for key, each in self._offered.items() if key[0] == "l"]),
            ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "cups" in cleaned and "kind" in cleaned:
            self.things = tuple(self._offered[key] for key in cleaned["cups"])
            for refusal in refusals(TastingKind(cleaned["kind"]), cleaned.get("title", "-"), self.things):
                self.add_error(refusal.field, str(refusal))
        return cleaned


@admin.register(Tasting)
class TastingAdmin(ActsAdmin, Desk):
    form = OpenForm
    acts = (REVEAL,)
    change_form_template = "guides/admin/tasting_form.html"
    list_display = ("title", "kind", "opened_at", "opened_by", "revealed_at")
    list_filter = ("kind", by_period("opened_at"))
    list_select_related = ("opened_by",)
    search_fields = ("title", "number")

    def get_fields(self, request: HttpRequest, obj: Tasting | None = None) -> tuple[str, ...]:
        return self.get_readonly_fields(request, obj) or ("kind", "title", "cups")

    def get_readonly_fields(self, request: HttpRequest, obj: Tasting | None = None) -> tuple[str, ...]:
        return ("kind", "title", "opened_at", "opened_by", "revealed_at", "revealed_by") if obj else ()

    def has_change_permission(self, request: HttpRequest, obj: Tasting | None = None) -> bool:
        # Codes are on the table from the moment it is open.
        return obj is None and super().has_change_permission(request, obj)

    def save_model(self, request: HttpRequest, obj: Tasting, form: Any, change: bool) -> None:
        made = open_tasting(obj.kind, obj.title, form.things, by=current_user(request))
        obj.__dict__.update(made.__dict__)

    def response_add(self, request: HttpRequest, obj: Tasting, post_url_continue: str | None = None) -> HttpResponse:
        self.message_user(request, _("Open: %(object)s.") % {"object": obj}, messages.SUCCESS)
        return HttpResponseRedirect(self.change_address(obj))

    def about(self, request: HttpRequest, obj: Tasting) -> dict[str, Any]:
        return self._shown(tastings.whole().get(pk=obj.pk))

    def _shown(self, tasting: Tasting) -> dict[str, Any]:
        """Before the reveal: how to join, who has sent, and the key folded away. After it: what came of it."""
        if tasting.is_revealed:
            return {"result": presented.result(tasting, get_language() or "en")}
        tasters = list(tasting.tasters.all())
        return {
            "join_address": addresses.absolute(f"/t/{tasting_addresses.token(tasting.number)}"),
            "find_address": addresses.absolute(reverse("taste")),
            "symbol": qr.symbol(tasting_addresses.printed(tasting.number)).svg(str(_("Code to join the tasting"))),
            "key": presented.key(tasting),
            "tasters": tasters,
            "sent": sum(taster.sent_at is not None for taster in tasters),
        }


def _key(thing: Thing) -> str:
    return f"{'b' if isinstance(thing, TrialBrew) else 'l'}{thing.pk}"


def _name(thing: Thing) -> str:
    if isinstance(thing, Lot):
        return f"{thing.name}, {thing.coffee.name}"
    return f"{timezone.localtime(thing.brewed_at):%Y-%m-%d %H:%M}, {presented.of_brew(thing)}, {thing.brewer.name}"
