"""A roast loss beside its history, in a sentence."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext, ngettext

from guides.queries.losses import Loss

from .numbers import Figures

_MOST_NAMED: Final = 3


def said(loss: Loss, figures: Figures) -> str:
    """Say how far a loss is from what is usual, and name what it is compared with."""
    compared = loss.compared
    if compared.apart > 0:
        words = gettext("lost %(loss)s, %(points)s points more than the %(usual)s of %(history)s")
    elif compared.apart < 0:
        words = gettext("lost %(loss)s, %(points)s points less than the %(usual)s of %(history)s")
    else:
        words = gettext("lost %(loss)s, as much as %(history)s")
    return words % {
        "loss": figures.percent(compared.loss, 1),
        "points": figures.number(round(abs(compared.apart) * 100, 2), 2),
        "usual": figures.percent(compared.usual, 1),
        "history": _history(loss),
    }


def _history(loss: Loss) -> str:
    """The newest by name, and how many more."""
    named = ", ".join(loss.names[:_MOST_NAMED])
    more = len(loss.names) - _MOST_NAMED
    if more <= 0:
        return named
    return ngettext("%(names)s and %(n)d before", "%(names)s and %(n)d before", more) % {"names": named, "n": more}
