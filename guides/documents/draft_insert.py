"""The insert of a draft, to be looked at: marked as a draft, its code leading nowhere, never kept."""

from __future__ import annotations

from typing import Final

from django.utils import timezone

from guides.models import GuideVersion, Lot
from guides.presenters import addresses, guide_sheet
from guides.queries import evidence

from . import compose, printable
from .formats import INSERT_A6, Format
from .painting import painted, symbol_of

NO_CODE: Final = "DRAFT000"
"""Its check character does not fit, so no lot has it, and none ever will."""


def draft_pdf(version: GuideVersion, language: str, paper: Format = INSERT_A6) -> bytes:
    """Give the insert of a version as it stands.

    Args:
        version: not published; best from ``queries.versions.whole``.
        language: of words and numbers.
        paper: the format.

    Raises:
        InsertRefused: no words in that language, or a text that does not fit.
        OutOfRange: a number that no brew has.
        ValueError: the version has been published; its insert is a real one.
    """
    if version.revision is not None:
        raise ValueError("A published version is printed with insert_pdf, not as a draft.")
    today = timezone.localdate()
    lot = evidence.lot_for(version) or Lot(name="DRAFT", coffee=version.guide.coffee, roasted_on=today)
    # Days are counted from roasting, as on an insert that goes with bags.
    sheet = guide_sheet.build(version, lot=lot, code=NO_CODE, language=language, today=lot.roasted_on)
    printable.refuse_untranslated(sheet)
    # No revision is 0 either: the address is no insert's, whatever its code.
    address = addresses.of_insert(NO_CODE, sheet.guide_number, 0, language)
    symbol, house = symbol_of(address), compose.identity()
    return painted([(compose.html(sheet, address, symbol, house, paper, draft=True), symbol)], house, paper)
