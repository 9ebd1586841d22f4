"""Gives a taster a place at a tasting, and the order of cups that keeps the table balanced."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from random import SystemRandom
from typing import Final

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.calculations.serving_order import Order, preference_orders, triangle_orders
from guides.choices import TastingKind
from guides.models import Taster, Tasting, TastingCup

from .. import form_token
from ..errors import Refusal, refuse_if
from ..form_token import FormToken
from .open import recalled

MOST_TASTERS: Final = 60
LONGEST_NAME: Final = 20
_SHUFFLED: Final = SystemRandom()


def join(tasting: Tasting, *, token: FormToken, name: str = "") -> Taster:
    """Give the next place.

    Args:
        tasting: to join.
        token: of the form.
        name: or initials, if they like; up to 20 characters.

    Raises:
        Refused: revealed already, full, too long a name, or a lot on the table is recalled.
        TokenRefused: the form was sent already.
    """
    name = " ".join(name.split())
    with transaction.atomic():
        locked = Tasting.objects.select_for_update().get(pk=tasting.pk)
        cups = list(locked.cups.select_related("lot", "trial_brew__lot"))
        taken = list(locked.tasters.values_list("order", flat=True))
        refuse_if(_refusals(locked, cups, len(taken), name))
        form_token.spend(token)
        order = _order(TastingKind(locked.kind), cups, taken)
        return Taster.objects.create(tasting=locked, seat=len(taken) + 1, name=name, order=order)


def refuse_recalled(cups: Iterable[TastingCup]) -> list[Refusal]:
    """Say what must not be drunk; empty while nothing on the table is recalled."""
    names = recalled([each for cup in cups if (each := cup.trial_brew or cup.lot)])
    text = _("Stop: lot {lots} is recalled. Don't drink it. Ask whoever poured.")
    return [Refusal(format_lazy(text, lots=", ".join(names)))] if names else []


def _refusals(tasting: Tasting, cups: Sequence[TastingCup], taken: int, name: str) -> list[Refusal]:
    found = refuse_recalled(cups)
    if tasting.is_revealed:
        found.append(Refusal(_("This tasting has been revealed: what is in the cups is told, so nobody joins now.")))
    if taken >= MOST_TASTERS:
        found.append(Refusal(format_lazy(_("All {n} places are taken."), n=MOST_TASTERS)))
    if len(name) > LONGEST_NAME:
        found.append(Refusal(_("Initials will do: 20 characters at the most."), "name"))
    return found


def _order(kind: TastingKind, cups: Sequence[TastingCup], taken: Iterable[Sequence[str]]) -> list[str]:
    """One of the orders used least so far; which one, and which of two like cups, is left to chance."""
    sample_of = {cup.code: cup.sample for cup in cups}
    orders = triangle_orders() if kind is TastingKind.TRIANGLE else preference_orders(max(sample_of.values()))
    used = Counter(tuple(sample_of[code] for code in codes) for codes in taken)
    fewest = min(used[order] for order in orders)
    return _codes(_SHUFFLED.choice([order for order in orders if used[order] == fewest]), sample_of)


def _codes(order: Order, sample_of: Mapping[str, int]) -> list[str]:
    codes = _SHUFFLED.sample(sorted(sample_of), len(sample_of))
    free = {sample: [code for code in codes if sample_of[code] == sample] for sample in set(order)}
    return [free[sample].pop() for sample in order]
