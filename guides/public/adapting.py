"""A guide's page as one reader asks for it: read the address, build the sheet, say what is wrong."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl, urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect

from guides.choices import State
from guides.models import GuideVersion, Lot
from guides.presenters import adapt_form, adapt_request, adapted_sheet, guide_sheet, last_bag
from guides.presenters.adapt_gear import Refused
from guides.presenters.adapt_request import FORM, NAMES, AdaptRequest, Parsed
from guides.presenters.sheet import GuideSheet
from guides.presenters.typed import Problem
from guides.queries import gear

from . import page


@dataclass(frozen=True)
class Shown:
    """A guide for one reader. ``moved`` is where a wish has its one address, if this is another.

    ``asking`` is true where the form is to be shown: wanted, or something in it is wrong. ``form`` is ``None`` for a
    guide that nobody should brew any more.
    """

    sheet: GuideSheet
    form: adapt_form.AdaptForm | None = None
    status: int = 200
    moved: str = ""
    asking: bool = False
    since: tuple[last_bag.Since, ...] = ()

    @property
    def template(self) -> str:
        return "yours.html" if self.asking else "guide.html"

    @property
    def context(self) -> dict[str, Any]:
        return {"sheet": self.sheet, "form": self.form, "since": self.since}

    @property
    def personal(self) -> bool:
        """Whether this is one reader's page and not the guide's."""
        return self.asking or self.sheet.adapted is not None

    @property
    def cache(self) -> str:
        """What is wrong today may be right tomorrow: an answer with problems is asked for again."""
        return page.BRIEFLY if self.status == 200 else page.REVALIDATE


def shown(
    request: HttpRequest,
    version: GuideVersion,
    *,
    language: str,
    today: datetime.date,
    lot: Lot | None = None,
    code: str = "",
    earlier: Sequence[GuideVersion] = (),
) -> Shown:
    """Build a guide as an address asks for it; as it was published where that asks for nothing or cannot be read.

    Args:
        request: for its parameters.
        version: published or withdrawn.
        language: of the page.
        today: the roastery's day.
        lot: the bag, if any.
        code: its address code.
        earlier: the guide's revisions before it that a bag may have been brewed by, newest first.
    """
    parsed = adapt_request.parse(request.GET)
    problems: tuple[Problem, ...] = ()
    sheet = None
    if version.state == State.WITHDRAWN:
        return Shown(guide_sheet.build(version, lot=lot, code=code, language=language, today=today))
    if parsed.request is not None and parsed.request != AdaptRequest():
        try:
            sheet = adapted_sheet.build(version, parsed.request, lot=lot, code=code, language=language, today=today)
        except Refused as refused:
            problems = refused.problems
    if sheet is None:
        sheet = guide_sheet.build(version, lot=lot, code=code, language=language, today=today)
    wrong = bool(problems or parsed.problems)
    asking = wrong or FORM in request.GET
    along = _along(request)
    brewers, grinders = gear.choices() if asking else ((), ())
    form = adapt_form.build(guide_sheet.kept_of(version, lot), parsed, brewers, grinders, language, problems, along)
    if asking:
        return Shown(sheet, form, 400 if wrong else 200, asking=True)
    since = last_bag.since(version, earlier, language)
    return Shown(sheet, form, moved=_moved(request, parsed, along), since=since)


def redirect(to: str) -> HttpResponse:
    """Send a reader to the one address of what they ask, so that what they share is short."""
    response = HttpResponseRedirect(to)
    response.headers["Cache-Control"] = page.REVALIDATE
    return response


def marked(response: HttpResponse, shown: Shown) -> HttpResponse:
    """Keep one reader's page out of search engines; the page names the guide's own address itself."""
    if shown.personal:
        response.headers["X-Robots-Tag"] = "noindex"
    return response


def _along(request: HttpRequest) -> dict[str, str]:
    """The language a bag is asked for in: no wish about the brew, and to be kept in every address."""
    wish = request.GET.get("in", "")
    return {"in": wish} if wish.isalpha() and len(wish) <= 8 else {}


def _moved(request: HttpRequest, parsed: Parsed, along: Mapping[str, str]) -> str:
    query = adapt_request.to_query(parsed.request or AdaptRequest())
    given = [(name, value) for name, value in request.GET.items() if name in NAMES]
    if given == parse_qsl(query):
        return ""
    whole = "&".join(part for part in (query, urlencode(along)) if part)
    return request.path + ("?" + whole if whole else "")
