"""This bag: where its lot stands in its window, in a dated sentence."""

from __future__ import annotations

import datetime

from django.utils.translation import gettext, override

from guides.calculations.freshness import Phase, phase
from guides.models import Lot
from guides.queries.windows import days_of

from .bag_drawing import window_drawing
from .numbers import NO_BREAK, Figures, span
from .sheet import LotFacts


def lot_facts(lot: Lot, code: str, language: str, today: datetime.date) -> LotFacts:
    """Give what a page or an insert says about a lot.

    Args:
        lot: the lot, with its coffee.
        code: its address code, empty where it has none.
        language: of the sentence.
        today: the roastery's day.
    """
    days = days_of(lot)
    age = max((today - lot.roasted_on).days, 0)
    stands = phase(age, days)
    figures = Figures(language)
    ends = [lot.roasted_on + datetime.timedelta(days=day) for day in (days.first, days.last)]
    first, last = (figures.day(end, today) for end in ends)
    with override(language):
        return LotFacts(
            name=lot.name,
            code=code,
            roasted_on=lot.roasted_on,
            day=age,
            freshness=_sentence(stands, age, first, last),
            freshness_key=stands.value,
            recalled=lot.recall_reason,
            window=window(lot, language, today),
            short_window=span(*(figures.short_day(end) for end in ends)),
            window_drawing=window_drawing(
                age, days, today=gettext("day %(day)s") % {"day": age}, first=first, last=last
            ),
        )


def window(lot: Lot, language: str, today: datetime.date) -> str:
    """Give a lot's first and last good day as dates, for paper, where "day 9" would not stay true."""
    days, figures = days_of(lot), Figures(language)
    first, last = (lot.roasted_on + datetime.timedelta(days=day) for day in (days.first, days.last))
    # Only behind the dash may a line end, and there an ordinary space goes with it.
    return span(figures.day(first, today) + NO_BREAK, " " + figures.day(last, today))


def _sentence(stands: Phase, age: int, first: str, last: str) -> str:
    return {
        Phase.REST: gettext("Day %(day)s since roasting: let it rest. At its best from %(first)s to %(last)s."),
        Phase.BEST: gettext("Day %(day)s since roasting: in its window. Best until %(last)s."),
        Phase.USE_SOON: gettext("Day %(day)s since roasting: its best days ended on %(last)s. Use it soon."),
    }[stands] % {"day": age, "first": first, "last": last}
