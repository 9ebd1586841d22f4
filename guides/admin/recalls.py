"""The button that calls coffee back: one lot, or all that hold some of a green lot or a roast."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from guides.lifecycle import recall
from guides.models import GreenLot, Lot, Roast, User
from guides.presenters import trace

from .acts import Act, ActForm


class RecallForm(ActForm):
    recall_reason = forms.CharField(
        label=gettext_lazy("Reason"),
        required=False,
        max_length=recall.LONGEST_REASON,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=gettext_lazy(
            "Customers and shops read this. Say what is wrong and what to do, such as: "
            "a screw may be in the coffee; do not grind it, do not drink it, bring it back."
        ),
    )


def _may(user: User, _row: Any) -> bool:
    return user.has_perm("guides.recall_lot")


def _recall(lot: Lot, by: User, data: dict[str, Any]) -> Lot:
    return recall.recall(lot, by=by, reason=data["recall_reason"])


def _recall_all(origin: GreenLot | Roast, by: User, data: dict[str, Any]) -> GreenLot | Roast:
    return recall.recall_all(origin, by=by, reason=data["recall_reason"])


def _hits(origin: GreenLot | Roast | Lot) -> Iterator[str]:
    """Every lot that would be recalled, with its bags and where they are."""
    found = trace.of(origin)
    yield ngettext(
        "%(lots)s packed lot, %(bags)s bags, %(out)s of them out:",
        "%(lots)s packed lots, %(bags)s bags, %(out)s of them out:",
        len(found.lots),
    ) % {"lots": len(found.lots), "bags": found.bags.whole, "out": found.bags.parts}
    for lot in found.lots:
        where = ", ".join(f"{line.bags} {line.place or line.outlet}" for line in lot.out)
        already = _("recalled already, keeps its notice") if lot.recalled else ""
        yield ": ".join(
            part for part in (f"{lot.name}, {lot.coffee}, {lot.bags.whole} × {lot.bag_g} g", where, already) if part
        )


RECALL = Act(
    name="recall",
    label=gettext_lazy("Recall this lot"),
    explain=gettext_lazy("Every code of the lot shows the notice at once. This cannot be taken back."),
    done=gettext_lazy("%(object)s is recalled; its codes show the notice."),
    may=_may,
    fits=lambda lot: not lot.is_recalled,
    run=_recall,
    form=RecallForm,
    danger=True,
    preview=_hits,
)

RECALL_ALL = Act(
    name="recall",
    label=gettext_lazy("Recall all that holds it"),
    explain=gettext_lazy(
        "Every lot that holds some of it is recalled, and every code of theirs shows the notice at once. "
        "Nothing is filled from it any more. This cannot be taken back."
    ),
    done=gettext_lazy("%(object)s is recalled with every lot that holds it; their codes show the notice."),
    may=_may,
    fits=lambda origin: not origin.is_recalled,
    run=_recall_all,
    form=RecallForm,
    danger=True,
    preview=_hits,
)
