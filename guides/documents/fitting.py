"""Finds the largest type in which a document keeps to its paper, each side for itself."""

from __future__ import annotations

from guides.codes import qr

from . import compose
from .compose import House
from .errors import InsertRefused
from .fit import misfits
from .formats import Format
from .render import Draft, Laid


def fitted(draft: Draft, symbol: qr.Symbol, house: House, paper: Format, rules: str = "") -> Laid:
    """Lay out in the largest type that fits, halving what is left to try: a layout costs most of an insert's time.

    Args:
        draft: the document.
        symbol: for its width.
        house: for its accent.
        paper: the format.
        rules: further CSS.

    Raises:
        InsertRefused: some text does not fit even in the smallest; names the field.
    """
    search = {side: _Search(len(paper.type_pt) - 1) for side in paper.sides}
    while True:
        tried = {side: each.next for side, each in search.items()}
        sizes = {side: paper.type_pt[place] for side, place in tried.items()}
        laid = draft.lay_out(compose.rules(symbol, house, paper, sizes) + rules)
        found = misfits(laid, paper)
        sides = {misfit.side for misfit in found if misfit.spills}
        if not found and all(each.is_over for each in search.values()):
            return laid
        for side, each in search.items():
            each.tell(fits=side not in sides)
        # Of a side still being searched, smaller type may cure what spills.
        for_good = [misfit for misfit in found if not misfit.spills or search[misfit.side].is_hopeless]
        if for_good:
            raise InsertRefused(misfit.message for misfit in for_good)


class _Search:
    """Looks for the largest size that fits among sizes that get smaller; the smallest is at ``last``."""

    def __init__(self, last: int) -> None:
        self._first, self._last = 0, last
        self.is_hopeless = False

    @property
    def is_over(self) -> bool:
        return self._first == self._last

    @property
    def next(self) -> int:
        return (self._first + self._last) // 2

    def tell(self, *, fits: bool) -> None:
        """Learn whether the size at ``next`` fits."""
        if fits:
            self._last = self.next
        elif self.is_over:
            self.is_hopeless = True
        else:
            self._first = self.next + 1
