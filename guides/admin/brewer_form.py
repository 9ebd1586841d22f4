"""The form of a brewer offers only the papers and bases that fit its cone; a draft's list says how each is made up."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from guides.models import Brewer, Vessel

from .forms import NamedFieldsForm

_PARTS = {"paper": "fits_papers", "valve_base": "fits_bases"}


class BrewerForm(NamedFieldsForm):
    """What fits is known by the cone; the page shows it anew when another cone is chosen.

    Every part may be posted, so that one that does not fit is refused with a reason and not as an unknown choice.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "vessel" not in self.fields:
            return
        vessels = list(Vessel.objects.prefetch_related("fits_papers", "fits_bases"))
        chosen = self._chosen(vessels)
        for name, relation in _PARTS.items():
            field: Any = self.fields[name]
            fits = {vessel.pk: list(getattr(vessel, relation).all()) for vessel in vessels}
            if chosen is not None:
                mine = {part.pk for part in fits[chosen.pk]} | {self._posted(name)}
                field.choices = [choice for choice in field.choices if not choice[0] or int(str(choice[0])) in mine]
            told = {pk: [[part.pk, str(part)] for part in parts] for pk, parts in fits.items()}
            _list_of(self.fields["vessel"]).attrs[f"data-{relation.replace('_', '-')}"] = json.dumps(told)
            said = _("Only what fits %(vessel)s is listed.") % {"vessel": chosen} if chosen else ""
            field.help_text = said or _("What fits the cone or jar; which does is written on its own page.")

    def _chosen(self, vessels: Iterable[Vessel]) -> Vessel | None:
        key = self._posted("vessel") if self.is_bound else self.instance.vessel_id
        return next((vessel for vessel in vessels if vessel.pk == key), None)

    def _posted(self, name: str) -> int | None:
        if not self.is_bound:
            return getattr(self.instance, f"{name}_id")
        text = str(self.data.get(self.add_prefix(name)) or "")
        return int(text) if text.isdecimal() else None


def _list_of(field: forms.Field) -> Any:
    """The list itself; the admin wraps it to put a plus beside it."""
    inner: Any = getattr(field.widget, "widget", field.widget)
    return inner


def described(brewer: Brewer) -> str:
    """Say what a brewer is made up of."""
    parts = [brewer.get_outflow_display(), brewer.valve_base, brewer.paper]
    return f"{brewer} ({', '.join(str(part) for part in parts if part)})"


def grouped(brewers: Iterable[Brewer]) -> Iterator[tuple[str, list[tuple[int, str]]]]:
    """Give the choices of a list, by cone or jar and how much each holds."""
    by_vessel = sorted(brewers, key=lambda brewer: (brewer.vessel.name, brewer.name))
    for vessel, made in groupby(by_vessel, key=lambda brewer: brewer.vessel):
        holds = _("%(vessel)s, holds %(volume)s mL") % {"vessel": vessel, "volume": vessel.usable_ml}
        yield holds, [(brewer.pk, described(brewer)) for brewer in made]
