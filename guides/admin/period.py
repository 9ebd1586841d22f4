"""A list narrowed to a year, and then to a month of it.

Django's own way down by dates asks every row for its year whenever a list is opened; this asks for the
first day alone.
"""

from __future__ import annotations

import datetime
import re
from typing import Any, ClassVar, Final

from django.contrib import admin
from django.db.models import DateTimeField, Min, QuerySet
from django.http import HttpRequest
from django.utils import timezone
from django.utils.formats import date_format

_PERIOD: Final = re.compile(r"(?P<year>[1-9][0-9]{3})(?:-(?P<month>0[1-9]|1[0-2]))?", re.ASCII)


class _PeriodFilter(admin.SimpleListFilter):
    parameter_name = "period"
    field: ClassVar[str]

    def __init__(self, request: HttpRequest, params: dict[str, Any], model: Any, model_admin: Any) -> None:
        self.title = model._meta.get_field(self.field).verbose_name
        super().__init__(request, params, model, model_admin)

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, str]]:
        first = model_admin.get_queryset(request).order_by().aggregate(first=Min(self.field))["first"]
        if first is None:
            return []
        wanted, today = _period(self.value()), timezone.localdate()
        found = []
        for year in range(today.year, min(_day(first).year, today.year) - 1, -1):
            found.append((str(year), str(year)))
            if wanted and wanted[0].year == year:
                months = (datetime.date(year, month, 1) for month in range(12, 0, -1))
                found += [(f"{day:%Y-%m}", date_format(day, "YEAR_MONTH_FORMAT")) for day in months if day <= today]
        return found

    def queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> QuerySet[Any]:
        period = _period(self.value())
        if period is None:
            return queryset
        since, before = period if not self._has_time(queryset) else map(_midnight, period)
        return queryset.filter(**{f"{self.field}__gte": since, f"{self.field}__lt": before})

    def _has_time(self, rows: QuerySet[Any]) -> bool:
        return isinstance(rows.model._meta.get_field(self.field), DateTimeField)


def by_period(of: str) -> type[admin.SimpleListFilter]:
    """Give the filter of a list by one of its dates."""
    return type("PeriodFilter", (_PeriodFilter,), {"field": of})


def _period(text: str | None) -> tuple[datetime.date, datetime.date] | None:
    """The first day of a year or month written as in ISO 8601, and the day after its last; ``None`` for other texts."""
    found = _PERIOD.fullmatch(text or "")
    if found is None or found["year"] == "9999":
        return None
    year, month = int(found["year"]), found["month"]
    if month is None:
        return datetime.date(year, 1, 1), datetime.date(year + 1, 1, 1)
    return datetime.date(year, int(month), 1), datetime.date(year + int(month) // 12, int(month) % 12 + 1, 1)


def _midnight(day: datetime.date) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time()))


def _day(of: datetime.date) -> datetime.date:
    return timezone.localtime(of).date() if isinstance(of, datetime.datetime) else of
