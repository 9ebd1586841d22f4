"""Whether a bag and an insert belong together. Every answer is kept: who asked, when, and what was read."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Final

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import CheckAnswer, CheckMeans, State
from guides.models import GuideVersion, Lot, LotCheck, PackingRun, User
from guides.models.lot_check import LONGEST_CODE
from guides.queries import lots, packing_runs, versions

from . import roles
from .errors import refuse_if


@dataclass(frozen=True)
class Code:
    """A code that was read. ``lot`` is ``None`` for an unknown one; an insert's own says its guide and revision.

    ``is_of_bag`` is sure only of the address that bags carry: what fingers typed, and a Digital Link, may be of either.
    """

    text: str
    lot: Lot | None = None
    guide: int | None = None
    revision: int | None = None
    is_of_bag: bool = False

    @property
    def is_of_insert(self) -> bool:
        return self.guide is not None


NOTHING: Final = Code("")


def is_an_end(code: Code) -> bool:
    """Say whether one code alone settles the check, whatever the other is: an unknown one, or a recalled lot's."""
    return code.lot is None or code.lot.is_recalled


@dataclass(frozen=True)
class Verdict:
    """An answer, and what it rests on.

    ``insert`` is the revision the insert was printed from, ``shown`` the one shown for the bag's lot; ``until`` is the
    last day on which inserts of an older revision may be used, where that was said when they were counted.
    """

    answer: CheckAnswer
    bag: Code
    insert: Code
    printed: GuideVersion | None = None
    shown: GuideVersion | None = None
    until: datetime.date | None = None


def check(
    bag: Code, insert: Code, *, by: User, means: CheckMeans = CheckMeans.KEYS, today: datetime.date | None = None
) -> Verdict:
    """Say whether an insert belongs to a bag, and keep the answer.

    Codes may come in either order, as far as they say themselves which is the insert's.

    Args:
        bag: the code on the bag.
        insert: the code on the insert; ``NOTHING`` where the first one is an end already.
        by: who asks.
        means: what read them.
        today: the day; today if not given.

    Raises:
        Refused: not allowed.
    """
    refuse_if(roles.refusals(by, ["guides.print_lot"], _("check bags and inserts")))
    if bag.is_of_insert and not insert.is_of_insert:
        bag, insert = insert, bag
    verdict = judge(bag, insert, today or timezone.localdate())
    LotCheck.objects.create(
        by=by,
        bag_text=bag.text[:LONGEST_CODE],
        insert_text=insert.text[:LONGEST_CODE],
        bag=bag.lot,
        insert=insert.lot,
        answer=verdict.answer,
        means=means,
    )
    return verdict


def judge(bag: Code, insert: Code, today: datetime.date) -> Verdict:
    """Compare two codes; what is worst about them is the answer."""

    def said(answer: CheckAnswer) -> Verdict:
        return Verdict(answer, bag, insert)

    if any(code.lot and code.lot.is_recalled for code in (bag, insert)):
        return said(CheckAnswer.RECALLED)
    if bag.lot is None or insert.lot is None:
        return said(CheckAnswer.UNKNOWN)
    if _are_one(bag, insert):
        return said(CheckAnswer.NO_PAIR)
    if bag.lot.pk != insert.lot.pk:
        return said(CheckAnswer.WRONG)
    if insert.guide is None:
        return said(CheckAnswer.SAME)
    return _of_revision(bag, insert, today)


def _are_one(bag: Code, insert: Code) -> bool:
    """Whether two bags were scanned, or two inserts."""
    return (bag.is_of_insert and insert.is_of_insert) or (bag.is_of_bag and insert.is_of_bag)


def _of_revision(bag: Code, insert: Code, today: datetime.date) -> Verdict:
    assert bag.lot is not None  # noqa: S101 - judge has looked
    guides = {version.guide.number: version for _row, version in lots.guides_of(bag.lot)}
    shown = guides.get(insert.guide or 0)
    printed = versions.printed(insert.guide or 0, insert.revision or 0)

    def said(answer: CheckAnswer, until: datetime.date | None = None) -> Verdict:
        return Verdict(answer, bag, insert, printed, shown, until)

    if shown is None or shown.state != State.PUBLISHED:
        return said(CheckAnswer.GUIDE)
    if printed is None or (printed.revision or 0) > (shown.revision or 0):
        return said(CheckAnswer.REVISION)
    if printed.pk == shown.pk:
        return said(CheckAnswer.SAME)
    until = _usable_until(bag.lot, printed)
    return said(CheckAnswer.SAME if until and today <= until else CheckAnswer.OLD, until)


def _usable_until(lot: Lot, printed: GuideVersion) -> datetime.date | None:
    kept: PackingRun | None = packing_runs.left_over(lot).filter(version=printed).order_by("-use_until").first()
    return kept.use_until if kept else None
