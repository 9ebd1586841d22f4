"""Which step of one plan became which step of another: by what the hands do, then by how little differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cache
from typing import Final

from guides.calculations.plan import Step

_GAP: Final = 1.0
_DIFFERS: Final = 0.28  # so that two steps with the same action pair up unless nearly everything else differs
_NUMBERS: Final = tuple(field.name for field in fields(Step) if field.name != "action")


@dataclass(frozen=True)
class Match:
    """Indexes of a step in the old and the new plan, ``None`` where it is not there. ``moved`` past another step."""

    old: int | None
    new: int | None
    moved: bool = False


def match(old: Sequence[Step], new: Sequence[Step]) -> tuple[Match, ...]:
    """Pair the steps of two plans, in the order of the new one; steps that went stand where they were."""
    aligned = _aligned(old, new)
    gone = [pair.old for pair in aligned if pair.new is None and pair.old is not None]
    result: list[Match] = []
    for pair in aligned:
        if pair.old is None and pair.new is not None:
            came = pair.new
            source = next((index for index in gone if _same_but_for_time(old[index], new[came])), None)
            if source is not None:
                gone.remove(source)
                result.append(Match(source, came, moved=True))
                continue
        result.append(pair)
    moved = {pair.old for pair in result if pair.moved}
    return tuple(pair for pair in result if not (pair.new is None and pair.old in moved))


def _aligned(old: Sequence[Step], new: Sequence[Step]) -> list[Match]:
    @cache
    def best(i: int, j: int) -> tuple[float, Match | None]:
        """Least cost of what is left of both from here on, and the first pair of it."""
        options: list[tuple[float, Match]] = []
        if i < len(old):
            options.append((_GAP + best(i + 1, j)[0], Match(i, None)))
        if j < len(new):
            options.append((_GAP + best(i, j + 1)[0], Match(None, j)))
        if i < len(old) and j < len(new) and old[i].action is new[j].action:
            options.append((_cost(old[i], new[j]) + best(i + 1, j + 1)[0], Match(i, j)))
        return min(options, key=lambda option: option[0]) if options else (0.0, None)

    found, i, j = [], 0, 0
    while (pair := best(i, j)[1]) is not None:
        found.append(pair)
        i, j = i + (pair.old is not None), j + (pair.new is not None)
    return found


def _cost(old: Step, new: Step) -> float:
    return _DIFFERS * sum(1 for name in _NUMBERS if getattr(old, name) != getattr(new, name))


def _same_but_for_time(old: Step, new: Step) -> bool:
    what = [name for name in ("action", *_NUMBERS) if name not in ("start_s", "end_s", "anchor")]
    return all(getattr(old, name) == getattr(new, name) for name in what)
