"""Inserts of a lot: a guide revision in one language, two sides, read back before anything is handed over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.codes import qr
from guides.models import GuideVersion, Lot
from guides.presenters import addresses, guide_sheet
from guides.presenters.addresses import Edition, PrintedAddress
from guides.queries import lots

from . import compose, papers, preflight, printable
from .compose import House
from .errors import InsertRefused
from .formats import INSERT_A6, Format, Leads
from .painting import painted, symbol_of
from .preflight import Promise

__all__ = ["InsertRefused", "insert_pdf", "inserts_pdf"]


@dataclass(frozen=True)
class _Card:
    """One insert, written but not laid out."""

    html: str
    symbol: qr.Symbol
    promise: Promise
    language: str


def insert_pdf(lot: Lot, version: GuideVersion, language: str) -> bytes:
    """Give the insert of a lot for a guide version, from the store where it was made before.

    Args:
        lot: the lot whose bags it goes with.
        version: a published version; best from ``queries.versions.whole``.
        language: of words and numbers.

    Raises:
        InsertRefused: not to be printed, a text that does not fit, or a finished paper that does not read back right.
    """
    return inserts_pdf(lot, [(version, language)])


def inserts_pdf(
    lot: Lot, wanted: Sequence[tuple[GuideVersion, str]], paper: Format = INSERT_A6, mark: str = ""
) -> bytes:
    """Give several inserts of a lot in one file, in the order asked for.

    Args:
        lot: the lot whose bags they go with.
        wanted: published versions, each with a language.
        paper: the format.
        mark: what tells this printing from others of the same edition, such as R1.

    Raises:
        InsertRefused: nothing is asked for, or any of them is refused as by ``insert_pdf``.
    """
    if not wanted:
        raise InsertRefused([format_lazy(_("No guide is shown for lot {lot}, so there is nothing to print."), lot=lot)])
    code, identity = lots.code_of(lot), compose.identity()
    printable.refuse_lot(lot, code)
    cards = [_card(lot, code, version, language, identity, paper, mark) for version, language in wanted]
    made_from = papers.key([card.html for card in cards], paper, identity)
    pdf = papers.find(made_from)
    if pdf is None:
        pdf = painted([(card.html, card.symbol) for card in cards], identity, paper)
        preflight.check(pdf, [card.promise for card in cards], paper, cards[0].language)
        papers.keep(made_from, pdf)
    return pdf


def address_on(paper: Format, lot: Lot, code: str, version: GuideVersion, language: str) -> PrintedAddress:
    """Give what the symbol of a format says for a lot."""
    edition = Edition(version.guide.number, version.revision or 0, language)
    return addresses.on_paper(lot, code, None if paper.leads is Leads.TO_LOT else edition)


def _card(
    lot: Lot, code: str, version: GuideVersion, language: str, identity: House, paper: Format, mark: str
) -> _Card:
    printable.refuse_version(lot, version)
    # Days are counted from roasting, so that the same insert is the same bytes on every day.
    sheet = guide_sheet.build(version, lot=lot, code=code, language=language, today=lot.roasted_on)
    printable.refuse_untranslated(sheet)
    address = address_on(paper, lot, code, version, language)
    symbol = symbol_of(address)
    return _Card(
        html=compose.html(sheet, address, symbol, identity, paper, mark),
        symbol=symbol,
        promise=Promise(address, lot, version),
        language=language,
    )
