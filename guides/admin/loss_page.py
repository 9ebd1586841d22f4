"""What pages of lots and roasts say of a loss, and the act that explains one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from guides.lifecycle.explain_loss import explain
from guides.models import Lot, Roast, User
from guides.presenters import loss_words
from guides.presenters.numbers import Figures
from guides.queries import losses
from guides.queries.losses import Loss

from .acts import ActForm


class ReasonForm(ActForm):
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("Such as: a moister crop; or: dropped half a minute late, cupped and found good."),
    )


def explained(lot: Lot, by: User, data: dict[str, Any]) -> Lot:
    return explain(lot, by=by, reason=data["reason"])


def is_open(lot: Lot) -> bool:
    """Whether a loss is off and nobody has said why."""
    loss = losses.of_lot(lot)
    return loss is not None and loss.compared.is_off and losses.explanation(lot) is None


def of_lot(lot: Lot) -> str | SafeString:
    if lot.pk is None:
        return _("shown once it is saved")
    loss = losses.of_lot(lot)
    if loss is None:
        return _("the first of its coffee at this roast")
    why = losses.explanation(lot)
    if why is None or not loss.compared.is_off:
        return _flagged(loss)
    because = _("explained by %(who)s: %(reason)s") % {"who": why.by.display_name, "reason": why.reason}
    return format_html("{}<br>{}", _flagged(loss), because)


def of_roast(roast: Roast) -> str | SafeString:
    if roast.pk is None:
        return _("shown once it is saved")
    loss = losses.of_roast(roast)
    return _("the first of its coffee") if loss is None else _flagged(loss)


def _flagged(loss: Loss) -> str | SafeString:
    """The sentence, with a word before it where it is worth a look."""
    said = loss_words.said(loss, Figures(get_language() or "en"))
    if not loss.compared.is_off:
        return said
    return format_html('<strong class="caution">{}</strong> {}', _("Look into it:"), said)
