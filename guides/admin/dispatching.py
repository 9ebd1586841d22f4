"""The button that writes down where bags of a lot went."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Outlet
from guides.lifecycle.dispatch import dispatch
from guides.models import Dispatch, Lot, User
from guides.models.dispatch import not_to_come

from .acts import Act, ActForm
from .desk import Desk, ReadOnly
from .period import by_period


class DispatchForm(ActForm):
    outlet = forms.ChoiceField(label=_("Where to"), choices=Outlet.choices)
    place = forms.CharField(
        label=_("Place"),
        required=False,
        max_length=80,
        help_text=_("The café's or shop's name; nobody's own name. May stay empty for the others."),
    )
    bags = forms.IntegerField(
        label=_("Bags"),
        min_value=-100_000,
        max_value=100_000,
        help_text=_("Below 0 for bags that came back, or to put an earlier line right: lines are never changed."),
    )
    on = forms.DateField(label=_("Day"), validators=[not_to_come], widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = timezone.localdate().isoformat()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("outlet") == Outlet.CAFE and not cleaned.get("place", "").strip():
            self.add_error("place", _("Place: name the café or shop, so that it can be told."))
        if cleaned.get("bags") == 0:
            self.add_error("bags", _("Bags: 1 or more, or below 0 for bags that came back."))
        return cleaned


def _dispatch(lot: Lot, by: User, data: dict[str, Any]) -> Lot:
    dispatch(lot, Outlet(data["outlet"]), data["bags"], by=by, place=data["place"], on=data["on"])
    return lot


SEND_BAGS = Act(
    name="bags-out",
    label=_("Bags went out"),
    explain=_("One line per place. A recall tells every one of them, and the trace adds them up."),
    done=_("Written down for %(object)s."),
    may=lambda user, _lot: user.has_perm("guides.print_lot"),
    fits=lambda _lot: True,
    run=_dispatch,
    form=DispatchForm,
)


@admin.register(Dispatch)
class DispatchAdmin(ReadOnly, Desk):
    list_display = ("on", "lot", "outlet", "place", "bags", "who")
    list_display_links = ("on",)
    list_filter = ("outlet", by_period("on"))
    list_select_related = ("lot", "recorded_by")
    search_fields = ("lot__name", "place")
    fields = (("lot", "outlet", "place"), ("bags", "on"), ("recorded_by", "recorded_at"))

    @admin.display(description=_("by"), ordering="recorded_by")
    def who(self, row: Dispatch) -> str:
        return row.recorded_by.display_name
