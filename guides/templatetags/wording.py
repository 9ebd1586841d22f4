"""Filters with which templates lay out a sheet. They choose and mark; they compute nothing."""

from __future__ import annotations

import datetime

from django import template
from django.conf import settings
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, get_language_info

from guides.presenters import prose as prose_
from guides.presenters import simple
from guides.presenters.numbers import EN_DASH, Figures, clock
from guides.presenters.sheet import GuideSheet, SheetStep

register = template.Library()


@register.filter
def prose(markdown: str) -> SafeString:
    """Longer text as clean HTML."""
    return prose_.html(markdown)


@register.filter
def drawn(svg: str) -> SafeString:
    """A drawing of our own, whose every word was escaped where it was drawn."""
    return mark_safe(svg)  # noqa: S308


@register.filter
def breakable(span: str) -> SafeString:
    """A span of time that may break behind its dash, on a narrow screen."""
    return format_html_join(mark_safe(f"{EN_DASH}<wbr>"), "{}", ((part,) for part in span.split(EN_DASH)))  # noqa: S308


@register.filter(expects_localtime=True)
def dated(day: datetime.date, language: str = "") -> str:
    """A date in full, in the language of the page if no other is named."""
    return _figures(language).date(day)


@register.filter(expects_localtime=True)
def short_dated(day: datetime.date | None) -> str:
    """A date where room is dear; nothing for none."""
    return _figures().short_date(day) if day else ""


@register.filter(expects_localtime=True)
def moment(at: datetime.datetime) -> str:
    """A date in full and the time of day."""
    return _figures().moment(at)


@register.filter(expects_localtime=True)
def short_moment(at: datetime.datetime) -> str:
    """A date and the time of day where room is dear."""
    return _figures().short_moment(at)


def _figures(language: str = "") -> Figures:
    return Figures(language or get_language() or settings.LANGUAGE_CODE)


@register.filter
def starts(step: SheetStep) -> str:
    """When a step begins: a moment, or the event it waits for."""
    return clock(step.start_s) if step.clock[:1].isdigit() and not step.about else step.clock.split(EN_DASH)[0]


@register.simple_tag
def said(sheet: GuideSheet, owner: GuideSheet | SheetStep, name: str) -> str:
    """A text of the roaster's; one without a translation is marked with the language it stands in."""
    text: str = getattr(owner, name)
    if name not in owner.untranslated:
        return text
    code = sheet.source_language
    return format_html(
        '<span lang="{}">{}</span> <small class="muted">({})</small>', code, text, get_language_info(code)["name_local"]
    )


@register.filter
def foreign(sheet: GuideSheet) -> str:
    """The language of the roaster's words where it is not that of the page."""
    return "" if sheet.words_language == sheet.language else sheet.words_language


@register.filter
def in_short(sheet: GuideSheet) -> list[simple.ShortLine]:
    """A guide in about six lines."""
    return simple.lines(sheet)
