"""Has anything published moved? Triggers prevent, hashes detect, and formulas that changed since are told apart."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Final

from guides.calculations.assess import assess
from guides.calculations.constants import CALCULATION_VERSION
from guides.calculations.validity import OutOfRange
from guides.models import GuideVersion

from . import snapshot, stored
from .plan_of import plan_of, targets_of
from .snapshot import Snapshot
from .step_media import media_of

RELATIVE: Final = 1e-3
ABSOLUTE: Final = 1e-3
"""A recomputed number has moved if it differs by more than both: far above what rounding to what is kept can do, far
below what anybody could read off a page."""


class Kind(StrEnum):
    """What no longer agrees with what."""

    HASH = "the snapshot is not the one that was hashed at publishing"
    UNREADABLE = "the snapshot cannot be read"
    ROWS = "the version's own columns, steps or texts are not those of the snapshot"
    NUMBERS = "today's formulas give another number"


@dataclass(frozen=True)
class Drift:
    """One disagreement; ``kept`` was published. ``expected`` where a newer edition of the formulas explains it."""

    kind: Kind
    what: str
    kept: Any
    now: Any
    expected: bool = False

    def __str__(self) -> str:
        return f"{self.what}: {self.kind} (published {self.kept}, now {self.now})"


def verify(version: GuideVersion) -> list[Drift]:
    """Compare a published version with its hash, its rows with its snapshot, and its numbers with today's formulas."""
    kept_hash, now_hash = version.sha256, snapshot.digest(version.snapshot or {})
    drifts = [] if kept_hash == now_hash else [Drift(Kind.HASH, "sha256", kept_hash[:12], now_hash[:12])]
    try:
        kept = snapshot.read(version)
    except ValueError as error:
        return [*drifts, Drift(Kind.UNREADABLE, "snapshot", "", error)]
    return [*drifts, *_rows(version, kept), *_numbers(kept)]


def _rows(version: GuideVersion, kept: Snapshot) -> Iterator[Drift]:
    # The brewer may be weighed again and coffees renamed; what this version says itself may not change.
    now: dict[str, Any] = {
        "plan": replace(plan_of(version), brewer=kept.plan.brewer),
        "targets": targets_of(version),
        "server_ml": version.server_ml,
        "words": dict(snapshot.words_of(version)),
        "language": version.language,
        "change_note": version.change_note,
        "media": media_of(version),
        "revision": version.revision,
        "published_at": version.published_at,
        "calculation_version": version.calculation_version,
    }
    for name, value in now.items():
        was = stored.to_json(getattr(kept, name))
        if stored.to_json(value) != was:
            yield Drift(Kind.ROWS, name, _first_difference(was, stored.to_json(value)), "otherwise")
    if version.guide.number != kept.guide.number:
        yield Drift(Kind.ROWS, "guide.number", kept.guide.number, version.guide.number)


def _numbers(kept: Snapshot) -> Iterator[Drift]:
    expected = kept.calculation_version != CALCULATION_VERSION
    try:
        now = stored.to_json(assess(kept.plan, kept.conditions, kept.targets))
    except OutOfRange as error:
        yield Drift(Kind.NUMBERS, "assessment", "numbers", error, expected)
        return
    was = stored.to_json(kept.assessment)
    for name in was:
        moved = next((pair for pair in _pairs(name, was[name], now[name]) if _differ(pair[1], pair[2])), None)
        if moved is not None:
            yield Drift(Kind.NUMBERS, *moved, expected)


def _pairs(path: str, kept: Any, now: Any) -> Iterator[tuple[str, Any, Any]]:
    """Every leaf of two pieces of JSON, side by side; where their shapes differ, the pieces themselves."""
    if isinstance(kept, dict) and isinstance(now, dict) and kept.keys() == now.keys():
        for key in kept:
            yield from _pairs(f"{path}.{key}", kept[key], now[key])
    elif isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        for index, (one, other) in enumerate(zip(kept, now, strict=True)):
            yield from _pairs(f"{path}[{index}]", one, other)
    else:
        yield path, kept, now


def _differ(kept: Any, now: Any) -> bool:
    if isinstance(kept, int | float) and isinstance(now, int | float):
        return abs(now - kept) > max(ABSOLUTE, RELATIVE * abs(kept))
    return bool(kept != now)


def _first_difference(kept: Any, now: Any) -> Any:
    return next((was for _path, was, new in _pairs("", kept, now) if was != new), kept)
