"""Two people, one draft: the second to save is told who changed what, and keeps every word typed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib.admin.models import CHANGE, LogEntry
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from guides.models import Guide, GuideVersion

from .desk import MOST_ROWS
from .forms import NamedFieldsForm, put_back
from .saves import told

TOKEN = "edit_number"  # noqa: S105 - counts the saves of a draft


class TokenForm(NamedFieldsForm):
    """Carries the number of the save it was opened on. The row is locked while a form is read and saved."""

    edit_number = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if TOKEN in self.fields:
            self.fields[TOKEN].initial = self.initial[TOKEN] = self.instance.edit_number

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if self.instance.pk and TOKEN in self.fields:
            self._refuse_overwriting()
        return cleaned

    def _refuse_overwriting(self) -> None:
        opened_on, now = self.cleaned_data.get(TOKEN), self.instance.edit_number
        if opened_on == now:
            return
        # The page comes back with this person's words and the newest number, so the next save is a decision.
        put_back(self, TOKEN, now)
        missed = now - opened_on if isinstance(opened_on, int) and opened_on < now else 1
        self.add_error(None, ValidationError([*_saves(self.instance, missed), _KEEP()]))


def hold(object_id: str) -> GuideVersion | None:
    """Keep everybody else from saving, moving or numbering this guide's versions until the transaction ends."""
    version = GuideVersion.objects.filter(pk=object_id).first() if object_id.isdecimal() else None
    if version is not None:
        Guide.objects.select_for_update().get(pk=version.guide_id)
        version.refresh_from_db()
    return version


def _saves(version: GuideVersion, count: int) -> list[str]:
    entries = LogEntry.objects.filter(
        content_type=ContentType.objects.get_for_model(version), object_id=str(version.pk), action_flag=CHANGE
    ).select_related("user")[:count]
    return [
        _("%(who)s saved this draft at %(time)s, after you opened it. %(what)s")
        % {
            "who": entry.user.display_name,
            "time": date_format(timezone.localtime(entry.action_time), "H:i"),
            "what": " ".join([entry.get_change_message(), *(f"{capfirst(number)}." for number in told(entry))]),
        }
        for entry in entries
    ] or [_("This draft was saved somewhere else after you opened it.")]


def _KEEP() -> str:  # noqa: N802
    return _(
        "Nothing of yours is lost: it is all on this page and not saved yet. Look at theirs first, in another tab; "
        "saving again puts this page in its place."
    )


def rows_as_they_are(data: QueryDict, prefix: str, key: str, existing: Iterable[int]) -> QueryDict:
    """Fit a posted list of rows to the rows there are now, so that none is dropped.

    Rows that still exist come first, in today's order; a row that somebody else has deleted meanwhile becomes a new
    one, with what was typed.

    Args:
        data: the posted form.
        prefix: of the list of rows.
        key: name of the hidden column that says which row it was.
        existing: keys of the rows in the database, in order.
    """
    total = _number(data.get(f"{prefix}-TOTAL_FORMS"))
    order = {str(pk): place for place, pk in enumerate(existing)}
    rows = [_row(data, f"{prefix}-{index}-") for index in range(min(total, MOST_ROWS))]
    kept = sorted((row for row in rows if _key(row, key) in order), key=lambda row: order[_key(row, key)])
    fresh = [{**row, key: [""]} for row in rows if _key(row, key) not in order]
    result = data.copy()
    for name in [name for name in result if name.startswith(f"{prefix}-") and name[len(prefix) + 1].isdecimal()]:
        del result[name]
    for index, row in enumerate([*kept, *fresh]):
        for name, values in row.items():
            result.setlist(f"{prefix}-{index}-{name}", values)
    result[f"{prefix}-INITIAL_FORMS"] = str(len(kept))
    return result


def _row(data: QueryDict, start: str) -> dict[str, list[str]]:
    return {name[len(start) :]: data.getlist(name) for name in data if name.startswith(start)}


def _key(row: dict[str, list[str]], key: str) -> str:
    return (row.get(key) or [""])[-1]


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() else 0
