"""What waits at the desk: sections of lines, each a link to the act that settles it.

A section is here only for those who can settle it, and only while there is something in it. ``waiting_lines`` says what
the lines are; the reads behind them are those of the lists' filters, so that "more" leads to the same rows.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, Model, QuerySet, Window
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from guides.models import User
from guides.presenters.numbers import Figures
from guides.queries import (
    answers,
    desk_work,
    failed_jobs,
    house,
    losses,
    misfits,
    opens,
    packing_runs,
    unchecked,
    unguided,
    untranslated,
    windows,
)

from . import site_page, waiting_lines
from .waiting_lines import Line

MOST_LINES: Final = 5


@dataclass(frozen=True)
class Asked:
    """Who looks, on which day, how they read dates and numbers, and in which languages customers read."""

    user: User
    today: datetime.date
    figures: Figures
    languages: Sequence[str]


@dataclass(frozen=True)
class Section:
    """``more`` counts what is left out, and ``address`` leads to all of it."""

    key: str
    title: str | Promise
    lines: tuple[Line, ...]
    more: int
    address: str


@dataclass(frozen=True)
class Kind:
    """A section that may be: ``may`` are the permissions that make it of use, ``unless`` the one that makes it none."""

    key: str
    title: str | Promise
    may: tuple[str, ...]
    rows: Callable[[Asked], QuerySet[Any] | list[Any]]
    line: Callable[[Any, Asked], Line]
    all_of_it: str
    unless: str = ""


KINDS: Final = (
    Kind(
        key="returned",
        title=_("Returned to you"),
        may=("guides.change_guideversion",),
        rows=lambda asked: desk_work.returned_to(asked.user),
        line=waiting_lines.returned,
        all_of_it="guideversion?mine=returned",
    ),
    Kind(
        key="approve",
        title=_("In review: for you to approve"),
        may=("guides.publish_guideversion",),
        rows=lambda asked: desk_work.to_approve_by(asked.user),
        line=waiting_lines.to_approve,
        all_of_it="guideversion?mine=approve",
    ),
    Kind(
        key="publish",
        title=_("Approved: for you to publish"),
        may=("guides.publish_guideversion",),
        rows=lambda asked: desk_work.to_publish(),
        line=waiting_lines.to_publish,
        all_of_it="guideversion?mine=publish",
    ),
    Kind(
        key="brew",
        title=_("In review: for you to brew from"),
        may=("guides.add_trialbrew",),
        unless="guides.publish_guideversion",
        rows=lambda asked: desk_work.to_brew_by(asked.user),
        line=waiting_lines.to_brew,
        all_of_it="guideversion?mine=brew",
    ),
    Kind(
        key="drafts",
        title=_("Your open drafts"),
        may=("guides.change_guideversion",),
        rows=lambda asked: desk_work.open_drafts_of(asked.user),
        line=waiting_lines.draft,
        all_of_it="guideversion?mine=drafts",
    ),
    Kind(
        key="unchecked",
        title=_("Published, and no check brew with the newest lot"),
        may=("guides.add_trialbrew",),
        rows=lambda asked: unchecked.versions(),
        line=waiting_lines.unchecked,
        all_of_it="guide?check=missing",
    ),
    Kind(
        key="misfits",
        title=_("Checked, and outside the guide's window"),
        may=("guides.change_assignment",),
        rows=lambda asked: misfits.waiting(),
        line=waiting_lines.misfit,
        all_of_it="trialbrew?window=missed",
    ),
    Kind(
        key="unguided",
        title=_("Lots without a guide"),
        may=("guides.change_lot",),
        rows=lambda asked: unguided.lots(),
        line=waiting_lines.unguided,
        all_of_it="lot?guides=none&recalled=no",
    ),
    Kind(
        key="windows",
        title=_("Entering or leaving their window"),
        may=("guides.view_lot",),
        rows=lambda asked: windows.turns(asked.today),
        line=waiting_lines.turn,
        all_of_it="lot?window=turning",
    ),
    Kind(
        key="losses",
        title=_("Roast loss off the coffee's own history"),
        may=("guides.change_lot",),
        rows=lambda asked: losses.unexplained(asked.today),
        line=waiting_lines.loss,
        all_of_it="lot?loss=off",
    ),
    Kind(
        key="sign_offs",
        title=_("To be signed off, at your sites"),
        may=("guides.view_site", "guides.sign_off_trainee"),
        rows=lambda asked: site_page.to_sign(),
        line=waiting_lines.to_sign,
        all_of_it="site",
    ),
    Kind(
        key="leftovers",
        title=_("Left over inserts: use or destroy"),
        may=("guides.print_lot",),
        rows=lambda asked: packing_runs.to_settle(asked.today),
        line=waiting_lines.leftover,
        all_of_it="packingrun?left=settle",
    ),
    Kind(
        key="translations",
        title=_("Translations missing or outdated"),
        may=("guides.change_guideversion",),
        rows=lambda asked: untranslated.versions(asked.languages),
        line=waiting_lines.behind,
        all_of_it="guideversion?translation=behind",
    ),
    Kind(
        key="questions",
        title=_("Customers' questions"),
        may=("guides.answer_question",),
        rows=lambda asked: answers.waiting().select_related("version"),
        line=waiting_lines.question,
        all_of_it="question?state__exact=open",
    ),
    Kind(
        key="opens",
        title=_("Most opened in four weeks, counted at least"),
        may=("guides.view_guideopens", "guides.view_guide"),
        rows=lambda asked: opens.most_opened(asked.today),
        line=waiting_lines.opened,
        all_of_it="guide?o=-6",
    ),
    Kind(
        key="jobs",
        title=_("Work that failed"),
        may=("guides.view_jobrun", "guides.print_lot"),
        rows=lambda asked: failed_jobs.runs(),
        line=waiting_lines.failed,
        all_of_it="jobrun?state__exact=failed",
    ),
)


def sections(user: User) -> list[Section]:
    """Give what waits for one member of staff, in a number of queries that does not grow with the rows."""
    asked = Asked(user, timezone.localdate(), Figures(get_language() or "en"), house.current().languages)
    found = (_section(kind, asked) for kind in KINDS if _is_for(kind, user))
    return [section for section in found if section.lines]


def _is_for(kind: Kind, user: User) -> bool:
    return user.has_perms(kind.may) and not (kind.unless and user.has_perm(kind.unless))


def _section(kind: Kind, asked: Asked) -> Section:
    rows, total = _first(kind.rows(asked))
    lines = tuple(kind.line(row, asked) for row in rows)
    return Section(kind.key, kind.title, lines, total - len(lines), _list_address(kind.all_of_it))


def _first(rows: QuerySet[Any] | list[Any]) -> tuple[Iterable[Model], int]:
    """The first few rows and how many there are, in one query."""
    if isinstance(rows, list):
        return rows[:MOST_LINES], len(rows)
    few = list(rows.annotate(in_all=Window(Count("pk")))[:MOST_LINES])
    return few, few[0].in_all if few else 0


def _list_address(name: str) -> str:
    model, _mark, wish = name.partition("?")
    return reverse(f"admin:guides_{model}_changelist") + (f"?{wish}" if wish else "")
