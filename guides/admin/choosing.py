"""A row chosen from a short list, and any other by a part of its name: for tables that grow as long as people work.

Where there are more rows than anybody reads, the list holds what was made lately and what is chosen already. A field
beside it takes a part of a name: sending it shows in the list what is called so, with everything typed and nothing
saved. That needs no script, and every row that may be chosen is taken, whether it was listed or not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.contrib import admin
from django.contrib.admin.widgets import RelatedFieldWidgetWrapper
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.forms.models import ModelChoiceIterator
from django.forms.widgets import ChoiceWidget, Script
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from guides.models import Lot
from guides.queries import lately

from .finding import Found, cleaned, find, named

MOST_LISTED, MOST_BOXES = 40, 12
_TEXT, _ANSWERED, _LOOK, _ENTER = "_find", "_answered", "_look", "_enter"


def sends(name: str) -> tuple[str, ...]:
    """Give the names of all that a short list of this name sends."""
    return (name, *(name + end for end in (_TEXT, _ANSWERED, _LOOK)), _ENTER)


@dataclass(frozen=True)
class Sent:
    """What a short list sends: what is ``chosen``, the ``text`` sought, and the text its list has answered already."""

    chosen: Any
    text: str = ""
    answered: str = ""

    @property
    def is_sought(self) -> bool:
        return self.text not in ("", self.answered)


class ShortList(ChoiceWidget):
    """Mixed into a widget of choices: bounds what it shows."""

    class Media:
        css: ClassVar = {"all": ["css/find.css"]}
        js = (Script("js/find_row.js", type="module"),)

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        chosen = super().value_from_datadict(data, files, name)
        text, answered = (cleaned(data.get(name + end)) for end in (_TEXT, _ANSWERED))
        return Sent(chosen, text, answered) if text else chosen

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        every, sent = self.choices, value if isinstance(value, Sent) else Sent(value)
        if not isinstance(every, ModelChoiceIterator):  # the form says itself what is offered
            return super().render(name, sent.chosen, attrs, renderer)
        field: Any = every.field
        found = find(every.queryset, sent.text, field.most) if sent.text else None
        chosen = sent.chosen
        if found is not None and found.only is not None and sent.is_sought:
            chosen = self.with_one(chosen, found.only.pk)
        keys = self.format_value(chosen)
        rows, is_all = self._listed(every.queryset, keys, found, field.most)
        if (attrs or {}).get("disabled"):
            rows, is_all = [row for row in rows if str(row.pk) in keys], True
        empty = [] if field.empty_label is None else [("", field.empty_label)]
        self.choices = [*empty, *(every.choice(row) for row in rows)]
        try:
            listed = super().render(name, chosen, {**(attrs or {}), **self.marks(attrs, sent, found)}, renderer)
        finally:
            self.choices = every
        if is_all:
            return listed
        context = {
            "listed": listed,
            "id": (attrs or {}).get("id", name),
            "label": field.label,
            "sent": sent,
            "said": found.said(sent.text) if found else "",
            "text": name + _TEXT,
            "answered": name + _ANSWERED,
            "look": name + _LOOK,
            "enter": _ENTER,
        }
        return render_to_string("guides/admin/find_row.html", context)

    def with_one(self, chosen: Any, key: Any) -> Any:
        return key

    def marks(self, attrs: Any, sent: Sent, found: Found | None) -> dict[str, Any]:
        """What was found is told with the list, and the page opens there."""
        if found is None:
            return {}
        told = [(attrs or {}).get("aria-describedby"), f"{(attrs or {}).get('id')}_said"]
        return {"aria-describedby": " ".join(filter(None, told)), **({"autofocus": True} if sent.is_sought else {})}

    def _listed(self, every: QuerySet[Any], keys: list[str], found: Found | None, most: int) -> tuple[list[Any], bool]:
        """Give the rows to show, those chosen always among them, and whether these are all there are."""
        offered = named(every)
        if found is not None:
            rows = found.rows
        elif len(every.order_by().values_list("pk")[: most + 1]) <= most:
            return list(offered), True
        else:
            rows = list(lately.offered(offered)[:most])
        missing = {key for key in keys if key.isdecimal() and len(key) < 10} - {str(row.pk) for row in rows}
        return [*(offered.filter(pk__in=missing) if missing else ()), *rows], False


class ListedSelect(ShortList, forms.Select):
    pass


class ListedBoxes(ShortList, forms.CheckboxSelectMultiple):
    def with_one(self, chosen: Any, key: Any) -> list[str]:
        return [*(chosen or ()), str(key)]

    def marks(self, attrs: Any, sent: Sent, found: Found | None) -> dict[str, Any]:
        return {}  # each box would be marked


class RowField(forms.ModelChoiceField):
    """Takes any row of its queryset; a name that was sought and not looked at yet is no choice."""

    widget = ListedSelect
    most = MOST_LISTED

    def clean(self, value: Any) -> Any:
        return super().clean(_chosen(self, value))

    def has_changed(self, initial: Any, data: Any) -> bool:
        return _is_sought(data) or super().has_changed(initial, data.chosen if isinstance(data, Sent) else data)

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name}, {obj.coffee}" if isinstance(obj, Lot) else super().label_from_instance(obj)


class RowsField(forms.ModelMultipleChoiceField):
    """The same for several, with a box for each."""

    widget = ListedBoxes
    most = MOST_BOXES

    def clean(self, value: Any) -> Any:
        return super().clean(_chosen(self, value))

    def has_changed(self, initial: Any, data: Any) -> bool:
        return _is_sought(data) or super().has_changed(initial, data.chosen if isinstance(data, Sent) else data)


def _chosen(field: Any, value: Any) -> Any:
    if _is_sought(value):
        raise ValidationError(find(field.queryset, value.text, field.most).said(value.text), code="sought")
    return value.chosen if isinstance(value, Sent) else value


def _is_sought(value: Any) -> bool:
    return isinstance(value, Sent) and value.is_sought


class Looks(forms.BaseForm):
    """A form with short lists: whoever only looked for a name gets it back without a word about the rest."""

    @property
    def is_looking(self) -> bool:
        """Say whether a name was sent to be found, by its button or by Enter in its field."""
        if any(name.endswith(_LOOK) for name in self.data):
            return True
        return _ENTER in self.data and any(
            _is_sought(bound.data) for bound in (self[name] for name in self.fields) if not bound.field.disabled
        )

    def full_clean(self) -> None:
        super().full_clean()
        if self.is_bound and self.is_looking:
            self.errors.clear()

    def is_valid(self) -> bool:
        return super().is_valid() and not (self.is_bound and self.is_looking)


class ShortLists(admin.options.BaseModelAdmin):
    """Every choice of a row at the desk is a short list, unless something else is said for it."""

    def formfield_for_foreignkey(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        if db_field.name not in (*self.raw_id_fields, *self.radio_fields) and "widget" not in kwargs:
            kwargs = {"form_class": RowField, "widget": ListedSelect, **kwargs}
        return super().formfield_for_foreignkey(db_field, request, **kwargs)

    def formfield_for_dbfield(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        field: Any = super().formfield_for_dbfield(db_field, request, **kwargs)
        if field is not None and isinstance(field.widget, RelatedFieldWidgetWrapper):
            # A plus beside a list is enough; the rest has its own page.
            field.widget.can_change_related = field.widget.can_delete_related = field.widget.can_view_related = False
        return field
