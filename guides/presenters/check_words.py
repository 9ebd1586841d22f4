"""The answer of a check of bag and insert: a word that fills the screen, and under it what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from guides.choices import CheckAnswer
from guides.lifecycle.lot_check import Code, Verdict

from .numbers import Figures

_DO: Final[dict[CheckAnswer, str | Promise]] = {
    CheckAnswer.SAME: gettext_lazy("Pack them together."),
    CheckAnswer.OLD: gettext_lazy("Take a newer insert; put this one aside."),
    CheckAnswer.REVISION: gettext_lazy("Put this insert aside and ask."),
    CheckAnswer.GUIDE: gettext_lazy("Put this insert aside and take one of the lot's guide."),
    CheckAnswer.WRONG: gettext_lazy("Do not pack. Find where they were swapped before going on."),
    CheckAnswer.RECALLED: gettext_lazy("Do not pack. Put the bag aside, destroy the insert."),
    CheckAnswer.NO_PAIR: gettext_lazy("Scan one bag and one insert."),
    CheckAnswer.UNKNOWN: gettext_lazy("Do not pack. Scan again; if it stays unknown, put it aside and ask."),
}


@dataclass(frozen=True)
class Shown:
    """``key`` chooses colour and sound; the word says the same. ``bag`` and ``insert`` name the lots, in letters."""

    key: str
    word: str
    do: str
    lines: tuple[str, ...]
    bag: str
    insert: str


def of(verdict: Verdict) -> Shown:
    """Put a verdict into words, in the language that is on."""
    return Shown(
        key=verdict.answer.value,
        word=str(verdict.answer.label),
        do=str(_DO[verdict.answer]),
        lines=tuple(_lines(verdict)),
        bag=name(verdict.bag),
        insert=name(verdict.insert),
    )


def name(code: Code) -> str:
    """Give what a code is called on screen: its lot, or what was read; empty where nothing was."""
    if code.lot is not None:
        return code.lot.name
    return f"“{code.text[:60]}”" if code.text else ""


def _lines(verdict: Verdict) -> Iterator[str]:
    answer, bag, insert = verdict.answer, verdict.bag, verdict.insert
    if answer == CheckAnswer.UNKNOWN:
        for code in (bag, insert):
            if code.lot is None and code.text:
                yield _("This code is not one of ours: %(text)s") % {"text": name(code)}
        return
    if answer == CheckAnswer.RECALLED:
        for lot in dict.fromkeys(lot for lot in (bag.lot, insert.lot) if lot and lot.is_recalled):
            yield _("%(lot)s is recalled: %(reason)s") % {"lot": lot.name, "reason": lot.recall_reason}
        return
    if answer == CheckAnswer.NO_PAIR:
        yield _("Both codes are of inserts.") if bag.is_of_insert else _("Both codes are of bags.")
        return
    if answer != CheckAnswer.WRONG:
        yield from _of_paper(verdict)


def _of_paper(verdict: Verdict) -> Iterator[str]:
    shown, printed = verdict.shown, verdict.printed
    if not verdict.insert.is_of_insert:
        yield _("The code names the lot alone. Look yourself whether guide and revision are right.")
        return
    if printed is not None:
        named = {"title": printed.title, "revision": printed.revision}
        yield _("The insert: %(title)s, revision %(revision)s.") % named
    else:
        yield _("The insert: guide %(guide)s, revision %(revision)s, which is not known here.") % {
            "guide": verdict.insert.guide,
            "revision": verdict.insert.revision,
        }
    if shown is None:
        yield _("This guide is not shown for the lot.")
    elif verdict.answer == CheckAnswer.GUIDE:
        yield _("This guide is withdrawn.")
    elif printed is None or printed.pk != shown.pk:
        yield _("Revision %(revision)s is shown for the lot.") % {"revision": shown.revision}
        yield from _until(verdict)


def _until(verdict: Verdict) -> Iterator[str]:
    if verdict.until is None:
        return
    day = {"day": Figures(get_language() or "en").date(verdict.until)}
    if verdict.answer == CheckAnswer.SAME:
        yield _("Left over copies of the older revision may be used until %(day)s.") % day
    else:
        yield _("Left over copies of it could be used until %(day)s; that day is over.") % day
