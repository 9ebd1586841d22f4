"""Keeps what a list brought in: new rows and changed ones, in one transaction, with their lines in the trail."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, cast

from django.db import models, transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Event, Lot, User

from . import audit, lots, roles
from .errors import Refusal, refuse_if
from .many_rows import RowCheck

BATCH: Final = 500
Progress = Callable[[int], object]
"""Told after each batch how many rows it had."""


@dataclass(frozen=True)
class Changed:
    """A stored row with new values in it; ``was`` has the old ones by field, as text, ``now`` the new ones."""

    row: models.Model
    was: Mapping[str, str]
    now: Mapping[str, str]

    @property
    def told(self) -> dict[str, list[str]]:
        return {name: [self.was[name], self.now[name]] for name in self.was}


def bring_in(
    model: type[models.Model],
    new: Sequence[models.Model],
    changed: Sequence[Changed],
    *,
    by: User,
    source: str,
    check: RowCheck | None = None,
    progress: Progress = lambda _rows: None,
) -> Event:
    """Keep new and changed rows of one table, all or none.

    Args:
        model: the table.
        new: rows not stored yet; lots get a code to print, as when they are entered by hand.
        changed: stored rows with new values.
        by: who brings them.
        source: the name of the file, for the trail.
        check: has looked at rows of this table in this transaction; what it has passed is not looked at again.
        progress: told how far it is.

    Raises:
        Refused: the person may not enter such rows, or one is not as it must be.
        IntegrityError: somebody else entered the same at the same moment.
    """
    refuse_if(_not_allowed(model, new, changed, by))
    refuse_if(_faults(check or RowCheck(model), [*new, *(change.row for change in changed)]))
    with transaction.atomic():
        for begin in range(0, len(new), BATCH):
            batch = new[begin : begin + BATCH]
            model._base_manager.bulk_create(batch)
            progress(len(batch))
        for change in changed:
            change.row.save(update_fields=[*change.was])
            progress(1)
        if model is Lot:  # last: codes are written down elsewhere, too, which is not taken back with the rest
            lots.make_printable(cast("list[Lot]", new), by=by)
        told_lots = {change.row: {"changes": change.told} for change in changed if isinstance(change.row, Lot)}
        audit.record_each(Verb.CHANGED, told_lots, by=by)
        # A lot has a history of its own.
        told = {} if model is Lot else {str(change.row): change.told for change in changed}
        return audit.record(
            Verb.BROUGHT_IN,
            by=by,
            reason=source[:300],
            table=model._meta.model_name,
            new=len(new),
            changed=len(changed),
            changes=told,
        )


def _not_allowed(
    model: type[models.Model], new: Sequence[object], changed: Sequence[object], by: User
) -> list[Refusal]:
    name = model._meta.model_name
    wanted = {f"guides.add_{name}": new, f"guides.change_{name}": changed}
    # Who has nothing to bring in must still be somebody who may.
    permissions = [permission for permission, rows in wanted.items() if rows] or [f"guides.add_{name}"]
    act = _("bring in lists")
    return [refusal for permission in permissions for refusal in roles.refusals(by, [permission], act)]


def _faults(check: RowCheck, rows: Sequence[models.Model]) -> list[Refusal]:
    return [
        Refusal(f"{row}: {message}", field)
        for row in rows
        if not check.has_passed(row)
        for field, messages in check.errors(row).items()
        for message in messages
    ]
