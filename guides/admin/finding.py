"""A row found by a part of its name, the way the search above its own list finds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext as _

from guides.models import Coffee, Guide, GuideVersion, Lot
from guides.queries import lately

LONGEST_TEXT = 80


def cleaned(text: Any) -> str:
    """Give a part of a name as it was typed, as far as a database can look for it."""
    return str(text or "").replace("\0", "").strip()[:LONGEST_TEXT]


@dataclass(frozen=True)
class Found:
    """Rows that are called so, not all of them if there are ``more``; ``only`` is the one that is meant."""

    rows: list[Any]
    more: bool = False
    only: Any = None

    def said(self, text: str) -> str:
        if self.only is not None:
            return _("“%(text)s” is found and chosen. Look, then save.") % {"text": text}
        if self.more:
            return _("“%(text)s” fits more than %(most)s. Choose one of the newest, or write more of the name.") % {
                "text": text,
                "most": len(self.rows),
            }
        if not self.rows:
            return _("Nothing is called “%(text)s”. Write another part of the name.") % {"text": text}
        return _("“%(text)s” fits %(count)s. Choose one.") % {"text": text, "count": len(self.rows)}


def find(rows: QuerySet[Any], text: str, most: int) -> Found:
    """Look among rows as the search above their list does; one that is called exactly so is meant."""
    desk = admin.site.get_model_admin(rows.model)
    called = list(named(rows).filter(**{f"{desk.search_fields[0]}__iexact": text})[:2])
    if len(called) == 1:
        return Found(called, only=called[0])
    fitting, _twice = desk.get_search_results(HttpRequest(), rows.model._default_manager.order_by(), text)
    found = list(lately.newest_first(named(rows).filter(pk__in=fitting.values("pk")))[: most + 1])
    return Found(found[:most], more=len(found) > most, only=found[0] if len(found) == 1 else None)


_CALLED: Final = {
    Coffee: ("name", "code"),
    Guide: ("slug",),
    GuideVersion: ("title", "state", "revision"),
    Lot: ("name", "coffee__name"),
}
"""What rows are called by, where they hold much besides."""


def named(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Load of rows what they are called by."""
    called = _CALLED.get(rows.model)
    if called is None:
        return rows.all()
    return rows.select_related(*(("coffee",) if rows.model is Lot else (None,))).only(*called)
