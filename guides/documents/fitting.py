"""Finds the largest type in which a document keeps to its paper, each side for itself."""

from __future__ import annotations

from guides.codes import qr

from . import compose
from .compose import House
from .errors import InsertRefused
from .fit import misfits
from .formats import Format
from .render import Draft, Laid


def fitted(draft: Draft, symbol: qr.Symbol, house: House, paper: Format) -> Laid:
    """Lay out in the largest type that fits.

    Raises:
        InsertRefused: some text does not fit even in the smallest; names the field.
    """
    tried = dict.fromkeys(paper.sides, 0)
    while True:
        sizes = {side: paper.type_pt[place] for side, place in tried.items()}
        laid = draft.lay_out(compose.rules(symbol, house, paper, sizes))
        found = misfits(laid, paper)
        if not found:
            return laid
        smaller = {misfit.side for misfit in found if misfit.spills and tried[misfit.side] + 1 < len(paper.type_pt)}
        if not smaller:
            raise InsertRefused(misfit.message for misfit in found)
        for side in smaller:
            tried[side] += 1
