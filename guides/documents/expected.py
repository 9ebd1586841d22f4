"""What every page of laid out copies must say when it is read back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping
from itertools import chain, islice, repeat


def expected_on(
    wanted: Iterable[tuple[str, int]], per_sheet: int, skip: int, sides: int, with_symbol: Container[int]
) -> Iterator[Mapping[str, int]]:
    """Give how often each address must be on each page, for copies that are laid out in this order.

    Args:
        wanted: addresses, and how many copies carry each.
        per_sheet: places on a sheet.
        skip: places of the first sheet that are used up.
        sides: of a copy.
        with_symbol: the sides that carry it, the first being 0.
    """
    cards = chain([""] * skip, *(repeat(address, copies) for address, copies in wanted))
    while sheetful := list(islice(cards, per_sheet)):
        on_sheet = Counter(filter(None, sheetful))
        yield from (on_sheet if side in with_symbol else Counter() for side in range(sides))
