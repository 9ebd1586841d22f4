"""One insert of a lot: a guide revision in one language, two sides, read back before it is handed over."""

from __future__ import annotations

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.codes import qr
from guides.models import GuideVersion, Lot, Roastery
from guides.presenters import addresses, guide_sheet
from guides.presenters.addresses import PrintedAddress
from guides.presenters.guide_sheet import GuideSheet
from guides.queries import lots

from . import compose, papers, preflight
from .compose import House
from .engine_needs import install_line
from .errors import InsertRefused
from .fit import misfits
from .formats import INSERT_A6, Format
from .preflight import Promise
from .render import Draft, FetchRefused, Laid

__all__ = ["InsertRefused", "insert_pdf"]


def insert_pdf(lot: Lot, version: GuideVersion, language: str, paper: Format = INSERT_A6) -> bytes:
    """Give the insert of a lot for a guide version, from the store where it was made before.

    Args:
        lot: the lot whose bags it goes with.
        version: a published version; best from ``queries.versions.whole``.
        language: of words and numbers.
        paper: the format.

    Raises:
        InsertRefused: not to be printed, a text that does not fit, or a finished paper that does not read back right.
    """
    code = lots.code_of(lot)
    _refuse_unprintable(lot, version, code)
    # Days are counted from roasting, so that the same insert is the same bytes on every day.
    sheet = guide_sheet.build(version, lot=lot, code=code, language=language, today=lot.roasted_on)
    _refuse_untranslated(sheet)
    address = addresses.of_insert(code, sheet.guide_number, sheet.revision or 0, language)
    symbol, house = _symbol(address), _house()
    html = compose.html(sheet, address, symbol, house, paper)
    made_from = papers.key(html, paper, house)
    pdf = papers.find(made_from)
    if pdf is None:
        pdf = _painted(html, symbol, house, paper)
        preflight.check(pdf, [Promise(address, lot, version)], paper, language)
        papers.keep(made_from, pdf)
    return pdf


def _refuse_unprintable(lot: Lot, version: GuideVersion, code: str) -> None:
    names = {"lot": lot.name, "guide": version.title}
    if lot.is_recalled:
        raise InsertRefused(
            [format_lazy(_("Lot {lot} is recalled: nothing is printed for it. Destroy what was printed."), **names)]
        )
    if version.state != State.PUBLISHED:
        text = _("“{guide}” is not published ({state}). Only a published guide is printed.")
        raise InsertRefused([format_lazy(text, state=version.get_state_display(), **names)])
    if not code:
        text = _("Lot {lot} has no address code, so there is nothing to scan. Give it one on its page.")
        raise InsertRefused([format_lazy(text, **names)])
    if all(version.guide_id != shown.guide_id for _row, shown in lots.guides_of(lot)):
        text = _("“{guide}” is not shown for lot {lot}. Assign it to the lot first, or release it where it is held.")
        raise InsertRefused([format_lazy(text, **names)])


def _refuse_untranslated(sheet: GuideSheet) -> None:
    if sheet.words_language != sheet.language:
        text = _("“{guide}” has no words in this language ({language}). Print it in {written}, or translate it first.")
        raise InsertRefused(
            [format_lazy(text, guide=sheet.title, language=sheet.language, written=sheet.words_language)]
        )


def _symbol(address: PrintedAddress) -> qr.Symbol:
    try:
        return qr.symbol(str(address))
    except qr.NotEncodable as error:
        text = _("PUBLIC_BASE_URL: the address {address} cannot be printed as a code. Use a plainer host name.")
        raise InsertRefused([format_lazy(text, address=address)]) from error


def _house() -> House:
    roastery = Roastery.objects.first() or Roastery(name="")
    return House(roastery.name, roastery.accent)


def _painted(html: str, symbol: qr.Symbol, house: House, paper: Format) -> bytes:
    try:
        return _fitted(Draft(html, paper.sheets), symbol, house, paper).pdf()
    except FetchRefused as refused:
        text = _("The texts ask for something outside this site ({addresses}). Take it out.")
        raise InsertRefused([format_lazy(text, addresses=", ".join(refused.addresses))]) from refused
    except OSError as error:
        text = _("The machine lacks what PDFs are made with. Type: {line}")
        raise InsertRefused([format_lazy(text, line=install_line() or error)]) from error


def _fitted(draft: Draft, symbol: qr.Symbol, house: House, paper: Format) -> Laid:
    """Lay out in the largest type that fits, each side for itself.

    Raises:
        InsertRefused: some text does not fit even in the smallest type.
    """
    tried = dict.fromkeys(paper.sides, 0)
    while True:
        sizes = {side: paper.type_pt[place] for side, place in tried.items()}
        laid = draft.lay_out(compose.rules(symbol, house, paper, sizes))
        found = misfits(laid, paper)
        if not found:
            return laid
        smaller = {misfit.side for misfit in found if misfit.spills and tried[misfit.side] + 1 < len(paper.type_pt)}
        if not smaller:
            raise InsertRefused(misfit.message for misfit in found)
        for side in smaller:
            tried[side] += 1
