"""The wall sheet of a site: a guide adapted to its water, height and brewers, with what changed said on the sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from django.template.loader import render_to_string
from django.urls import Resolver404, resolve
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext, override
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.models import GuideVersion, Site
from guides.presenters import adapted_sheet, problem_words, sites
from guides.presenters.adapt_gear import Refused
from guides.presenters.guide_sheet import Fact, GuideSheet
from guides.presenters.numbers import Figures
from guides.presenters.sites import SiteAddress
from guides.queries import sites as stored

from . import compose, papers, preflight, printable
from .compose import drawn
from .errors import InsertRefused
from .formats import SITE_WALL_A4
from .painting import painted, symbol_of

_EXPECTED = ("drained", "cup")


def wall_sheet(site: Site, version: GuideVersion, language: str) -> bytes:
    """Give the wall sheet of a guide for a site, from the store where it was made before.

    Args:
        site: where it hangs.
        version: a published version; best from ``queries.versions.whole``.
        language: of words and numbers.

    Raises:
        InsertRefused: not published, no words in that language, a site no brew can be adapted to, a text that does not
            fit, or a finished paper that does not read back right.
    """
    if version.state != State.PUBLISHED or version.revision is None:
        text = _("“{guide}” is not published ({state}). Only a published guide is printed.")
        raise InsertRefused([format_lazy(text, guide=version.title, state=version.get_state_display())])
    sheet = _sheet(site, version, language)
    printable.refuse_untranslated(sheet)
    address = sites.address_of(site, sheet.guide_number, version.revision, language)
    symbol, house = symbol_of(address), compose.identity()
    html = _html(site, sheet, address, symbol.svg(gettext("Code that leads to this guide")), house.name)
    made_from = papers.key([html], SITE_WALL_A4, house)
    pdf = papers.find(made_from)
    if pdf is None:
        pdf = painted([(html, symbol)], house, SITE_WALL_A4)
        preflight.check_sheet(pdf, str(address), SITE_WALL_A4, language)
        _follow(address, site)
        papers.keep(made_from, pdf)
    return pdf


def _sheet(site: Site, version: GuideVersion, language: str) -> GuideSheet:
    try:
        return adapted_sheet.build(
            version, sites.request_of(site, version.brewer), language=language, today=timezone.localdate()
        )
    except Refused as refused:
        figures = Figures(language)
        raise InsertRefused([problem_words.message(problem, figures) for problem in refused.problems]) from refused


def _html(site: Site, sheet: GuideSheet, address: SiteAddress, symbol: str, house: str) -> str:
    paper = SITE_WALL_A4
    with override(sheet.language):
        return render_to_string(
            paper.template,
            {
                "sheet": sheet,
                "house": house,
                "site": site,
                "site_facts": sites.facts(site, sheet.language),
                "sample": compose.is_sample(),
                "facts": [*_ingredients(sheet), *(fact for fact in sheet.predictions if fact.key in _EXPECTED)],
                "symbol": drawn(symbol),
                "code_letters": f"{address.code[:4]}\N{NO-BREAK SPACE}{address.code[4:]}",
                "drawing": drawn(sheet.plan_drawing.replace("<svg ", '<svg font-family="Hyperlegible" ', 1)),
                "cautions": [*sheet.cautions, *sheet.safety_on_paper],
                "edition": compose.edition(sheet),
                **compose.ruler(paper.ruler_mm),
            },
        )


def _ingredients(sheet: GuideSheet) -> Iterator[Fact]:
    """What goes in; where the site has a grinder, the grind by its setting."""
    for fact in sheet.ingredients:
        if fact.key == "grind" and len(sheet.grinders) == 1:
            (own,) = sheet.grinders
            fact = replace(fact, value=own.value, note=f"{own.label}, {fact.note}")
        yield fact


def _follow(address: SiteAddress, site: Site) -> None:
    """Go where the symbol leads, inside the site, and compare."""
    try:
        resolve(address.path)
    except Resolver404 as error:
        text = _("No page answers {path}: whoever scans this code would meet an error.")
        raise InsertRefused([format_lazy(text, path=address.path)]) from error
    found = stored.by_code(address.code)
    if found is None or found.pk != site.pk:
        text = _("The code for {text} leads to another site.")
        raise InsertRefused([format_lazy(text, text=str(address))])
