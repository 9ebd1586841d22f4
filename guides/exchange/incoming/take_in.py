"""From the bytes of a file to rows kept: read, plan, and, if what was shown still holds, keep."""

from __future__ import annotations

from collections.abc import Callable

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from guides.lifecycle.bring_in import Changed, bring_in
from guides.models import User

from . import csv_file, plan, xlsx_file
from .cells import Reading
from .kinds import Kind
from .plan import Plan
from .table import MOST_BYTES, FileRefused, Table, Trouble

Progress = Callable[[int], object]


class Moved(Exception):
    """What was shown holds no longer: somebody changed rows meanwhile. Nothing was kept; ``plan`` shows it anew."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        super().__init__(_("Somebody changed rows since this was shown. Look again; nothing was kept."))


def read(kind: Kind, data: bytes) -> Table:
    """Read a file of either format, whatever it is called.

    Raises:
        FileRefused: Too large, or not to be read; the text names row and column.
    """
    if len(data) > MOST_BYTES:
        raise FileRefused(Trouble(_("The file is larger than %(most)s MB. Split it.") % {"most": MOST_BYTES // 10**6}))
    if data.startswith(xlsx_file.MAGIC):
        return xlsx_file.read(data)
    return csv_file.read(data, kind.headings())


def look(kind: Kind, data: bytes, reading: Reading, progress: Progress = lambda _rows: None) -> Plan:
    """Say what a file would do. Nothing is written.

    Raises:
        FileRefused: as ``read`` and ``plan.make``.
    """
    return plan.make(kind, read(kind, data), reading, progress)


def keep(
    kind: Kind,
    data: bytes,
    reading: Reading,
    *,
    by: User,
    source: str,
    shown: str | None = None,
    progress: Progress = lambda _rows: None,
) -> Plan:
    """Keep what a file brings, all or nothing, and return what was done.

    Args:
        kind: the list.
        data: the file.
        reading: how it writes dates and decimals.
        by: who brings it in.
        source: its name, for the trail.
        shown: the digest of the plan that was agreed to, where one was.
        progress: told of each row twice: when it was judged, and when it was kept.

    Raises:
        FileRefused: It cannot be read.
        Moved: It would do something else than was shown, or refuses rows.
        Refused: The person may not.
    """
    with transaction.atomic():
        found = look(kind, data, reading, progress)
        if found.refused or (shown is not None and found.digest() != shown):
            raise Moved(found)
        if not found.does_something:
            return found
        changed = [Changed(planned.row, planned.was, planned.now) for planned in found.changed]
        new = [planned.row for planned in found.new]
        try:
            bring_in(kind.model, new, changed, by=by, source=source, check=found.check, progress=progress)
        except IntegrityError as error:
            raise Moved(found) from error
    return found
