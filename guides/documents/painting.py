"""Written documents become one finished file; what the PDF engine fails of becomes a refusal that says what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.codes import qr
from guides.presenters.addresses import PrintedAddress
from guides.presenters.sites import SiteAddress

from .compose import House
from .engine_needs import install_line
from .errors import InsertRefused
from .fitting import fitted
from .formats import Format
from .render import Draft, EngineFailed, FetchRefused, joined
from .typefaces import scripts_of


def symbol_of(address: PrintedAddress | SiteAddress) -> qr.Symbol:
    """Give an address as a symbol.

    Raises:
        InsertRefused: the site's address cannot be written in one.
    """
    try:
        return qr.symbol(str(address))
    except qr.NotEncodable as error:
        text = _("PUBLIC_BASE_URL: the address {address} cannot be printed as a code. Use a plainer host name.")
        raise InsertRefused([format_lazy(text, address=address)]) from error


def draft_of(html: str, paper: Format) -> Draft:
    """Read a document with the letters its words need."""
    return Draft(html, (*paper.sheets, *(script.sheet for script in scripts_of(html))))


def painted(documents: Sequence[tuple[str, qr.Symbol]], house: House, paper: Format) -> bytes:
    """Lay documents out and paint them into one PDF.

    Args:
        documents: HTML, each with the symbol on it.
        house: the roastery.
        paper: the format of all of them.

    Raises:
        InsertRefused: a text does not fit, asks for something outside, or cannot be set; or a library is missing.
    """
    with guarded():
        return joined([fitted(draft_of(html, paper), symbol, house, paper) for html, symbol in documents]).pdf()


@contextmanager
def guarded() -> Iterator[None]:
    """Turn what the PDF engine fails of into a refusal.

    Raises:
        InsertRefused: a text asks for something outside, or cannot be set; or a library is missing.
    """
    try:
        yield
    except FetchRefused as refused:
        text = _("The texts ask for something outside this site ({addresses}). Take it out.")
        raise InsertRefused([format_lazy(text, addresses=", ".join(refused.addresses))]) from refused
    except EngineFailed as failure:
        text = _("Something could not be set on paper ({messages}). Take it out of the texts.")
        raise InsertRefused([format_lazy(text, messages="; ".join(failure.messages))]) from failure
    except OSError as error:
        text = _("The machine lacks what PDFs are made with. Type: {line}")
        raise InsertRefused([format_lazy(text, line=install_line() or error)]) from error
