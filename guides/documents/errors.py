"""Why no paper was made, fit for the person who asked for it."""

from __future__ import annotations

from collections.abc import Iterable


class InsertRefused(Exception):
    """Nothing was printed. ``reasons`` say what is wrong and what to do, each naming the field or code it is about."""

    def __init__(self, reasons: Iterable[object]) -> None:
        self.reasons = tuple(str(reason) for reason in reasons)
        super().__init__(*self.reasons)

    def __str__(self) -> str:
        return " ".join(self.reasons)
