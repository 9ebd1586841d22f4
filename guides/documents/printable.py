"""What may be printed: published guides shown for a lot that is not recalled and has a code, in words it has."""

from __future__ import annotations

from typing import Any

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.models import GuideVersion, Lot
from guides.presenters.guide_sheet import GuideSheet
from guides.queries import lots

from .errors import InsertRefused


def refuse_lot(lot: Lot, code: str) -> None:
    """Stop where nothing may be printed for a lot.

    Raises:
        InsertRefused: it is recalled, or has no address code.
    """
    if lot.is_recalled:
        _refuse(_("Lot {lot} is recalled: nothing is printed for it. Destroy what was printed."), lot=lot.name)
    if not code:
        text = _("Lot {lot} has no address code, so there is nothing to scan. Give it one on its page.")
        _refuse(text, lot=lot.name)


def refuse_version(lot: Lot, version: GuideVersion) -> None:
    """Stop where a guide may not be printed for a lot.

    Raises:
        InsertRefused: it is not published, or not shown for the lot.
    """
    names = {"lot": lot.name, "guide": version.title}
    if version.state != State.PUBLISHED:
        text = _("“{guide}” is not published ({state}). Only a published guide is printed.")
        _refuse(text, state=version.get_state_display(), **names)
    if all(version.guide_id != shown.guide_id for _row, shown in lots.guides_of(lot)):
        text = _("“{guide}” is not shown for lot {lot}. Assign it to the lot first, or release it where it is held.")
        _refuse(text, **names)


def refuse_untranslated(sheet: GuideSheet) -> None:
    """Stop where the words would be in another language than the figures.

    Raises:
        InsertRefused: the guide has no words in the sheet's language.
    """
    if sheet.words_language != sheet.language:
        text = _("“{guide}” has no words in this language ({language}). Print it in {written}, or translate it first.")
        _refuse(text, guide=sheet.title, language=sheet.language, written=sheet.words_language)


def _refuse(text: Any, **names: object) -> None:
    raise InsertRefused([format_lazy(text, **names)])
