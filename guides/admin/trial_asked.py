"""What trial is meant: read from an address, so that a plan can be passed on, gone back to and logged later.

``version``, ``trial`` or ``method`` with ``brewer`` say where it sets out from, ``lot`` with what it is brewed, and the
names of ``trial_plan.CHANGED`` what is to be otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.http import Http404, QueryDict
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext_lazy as _

from guides.calculations.plan import Plan
from guides.calculations.presets import Method as Usual
from guides.calculations.validity import OutOfRange
from guides.lifecycle import trial_plan
from guides.lifecycle.brewed_plan import NoPlan
from guides.lifecycle.trial_plan import CHANGED, Intention
from guides.models import Brewer, Lot, TrialBrew
from guides.queries import evidence, versions

from .choosing import Looks, RowField
from .clock import ClockField

SOURCE: Final = ("version", "trial", "method", "brewer")


class PlanForm(Looks, forms.Form):
    """The numbers of a trial; each shows what it was, and changing one of them is the whole of the work."""

    required_css_class = "required"

    lot = RowField(Lot.objects.none(), label=_("Lot"))
    dose_g = forms.FloatField(label=_("Dose, g"), min_value=1, max_value=200)
    water_g = forms.FloatField(label=_("Water through the coffee, g"), min_value=10, max_value=3000)
    bypass_g = forms.FloatField(label=_("Water added to the cup, g"), min_value=0, max_value=2000)
    kettle_c = forms.FloatField(label=_("Kettle reads, °C"), min_value=1, max_value=100)
    grind_um = forms.FloatField(label=_("Grind, median µm"), min_value=100, max_value=2500)
    opened_s = ClockField(label=_("Open the valve at"))

    def __init__(self, *args: Any, source: Plan, coffee: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lot"].queryset = Lot.objects.filter(coffee=coffee).order_by("-roasted_on", "-pk")  # type: ignore[attr-defined]
        for name in CHANGED:
            was = trial_plan.number(source, name)
            if was is None:
                del self.fields[name]
                continue
            self.fields[name].initial = round(was) if name == "opened_s" else f"{was:g}"
            self.fields[name].localize = False
            self.fields[name].widget.attrs.update({"inputmode": "text" if name == "opened_s" else "decimal"})

    def wishes(self) -> dict[str, float]:
        return {name: float(self.cleaned_data[name]) for name in CHANGED if name in self.fields}


def setting_out(asked: Mapping[str, str]) -> Intention:
    """Give the plan a trial sets out from, before anything is changed.

    Raises:
        Http404: nothing, or something that is not there.
        OutOfRange: a usual plan that the brewer is not made for.
    """
    if asked.get("version"):
        version = _found(versions.whole(), asked["version"])
        return trial_plan.from_version(version, _lot(asked, evidence.lot_for(version)), {})
    if asked.get("trial"):
        brew = _found(evidence.whole(TrialBrew.objects.all()), asked["trial"])
        try:
            return trial_plan.from_brew(brew, _lot(asked, brew.lot), {})
        except NoPlan as error:
            raise Http404 from error
    method = next((method for method in Usual if method == asked.get("method")), None)
    if method is None:
        raise Http404
    brewer = _found(Brewer.objects.select_related("vessel"), asked.get("brewer", ""))
    return trial_plan.from_method(method, brewer, _lot(asked, None), {})


def intended(asked: Mapping[str, str], wishes: Mapping[str, float], lot: Lot) -> Intention:
    """Give the trial with its changes.

    Raises:
        Http404: as ``setting_out``.
        OutOfRange: a change that no brew has.
    """
    out = setting_out(asked)
    if out.repeats is not None:
        return trial_plan.from_brew(out.repeats, lot, wishes)
    if out.version is not None:
        return trial_plan.from_version(out.version, lot, wishes)
    assert out.method is not None  # noqa: S101 - setting_out has one of the three
    return trial_plan.from_method(out.method, out.brewer, lot, wishes)


def plan_of(address: str) -> Plan | None:
    """Give the plan behind the query part of a planning page's address; ``None`` where it makes none any more."""
    asked = QueryDict(address).dict()
    if not asked:
        return None
    try:
        out = setting_out(asked)
        form = PlanForm(asked, source=out.source, coffee=out.lot.coffee_id)
        if not form.is_valid():
            return None
        return intended(asked, form.wishes(), form.cleaned_data["lot"]).plan
    except (Http404, OutOfRange):
        return None


def source_of(out: Intention) -> dict[str, str]:
    """Give the part of an address that says where a trial sets out from."""
    if out.repeats is not None:
        return {"trial": str(out.repeats.pk)}
    if out.version is not None:
        return {"version": str(out.version.pk)}
    return {"method": out.method.value if out.method else "", "brewer": str(out.brewer.pk)}


def _lot(asked: Mapping[str, str], usual: Lot | None) -> Lot:
    key = asked.get("lot", "")
    lot = Lot.objects.select_related("coffee").filter(pk=key).first() if key.isdecimal() and len(key) < 10 else usual
    if lot is None:
        raise Http404
    return lot


def _found(rows: Any, key: str) -> Any:
    if not (key.isdecimal() and len(key) < 10):
        raise Http404
    return get_object_or_404(rows, pk=key)
