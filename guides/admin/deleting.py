"""What stands in the way of a deletion is counted; thousands of rows are not fetched to say that there are any."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import admin
from django.db.models import PROTECT, RESTRICT, Model
from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from guides.presenters.numbers import Figures

MOST_NAMED = 3


class CountedDeletion(admin.ModelAdmin):
    """Refuses at once what other rows hold, with how many there are and the newest of them by name."""

    delete_confirmation_template = "guides/admin/delete.html"

    def get_deleted_objects(self, objs: Any, request: HttpRequest) -> Any:
        held = [line for obj in objs for line in holders(obj)]
        return ([], {}, set(), held) if held else super().get_deleted_objects(objs, request)


def holders(obj: Model) -> Iterator[SafeString]:
    """Say what holds a row, one line for each kind."""
    figures = Figures(get_language() or "en")
    for relation in obj._meta.get_fields(include_hidden=True):
        if getattr(relation, "on_delete", None) not in (PROTECT, RESTRICT) or not relation.auto_created:
            continue
        held: Any = relation
        rows = held.related_model._base_manager.filter(**{held.field.name: obj})
        if count := rows.count():
            names = format_html_join("; ", "{}", ((_named(row),) for row in rows.order_by("-pk")[:MOST_NAMED]))
            told = (capfirst(held.related_model._meta.verbose_name_plural), figures.number(count, 0), names)
            few = count <= MOST_NAMED
            yield format_html("{}: {}", told[0], names) if few else format_html(_("{}: {}, such as {}"), *told)


def _named(row: Model) -> str | SafeString:
    try:
        address = reverse(f"admin:{row._meta.app_label}_{row._meta.model_name}_change", args=[row.pk])
    except NoReverseMatch:  # it has no page of its own
        return str(row)
    return format_html('<a href="{}">{}</a>', address, row)
