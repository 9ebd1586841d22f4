"""The line in a sheet's lower margin that shows whether the sheet was printed full size."""

from __future__ import annotations

from functools import cache

from django.utils.html import format_html
from django.utils.translation import gettext, override

from . import compose
from .marks import RULER_BOX_MM, RULER_MM
from .render import Draft
from .typefaces import scripts_of


@cache
def ruler_pdf(language: str) -> bytes:
    """Give the line with its words as a page of its own, to be shown on every sheet; the words stand above it.

    Args:
        language: of the words.

    Raises:
        OSError: a system library of the engine is missing.
    """
    with override(language):
        parts = compose.ruler(RULER_MM)
        title = gettext("Line to check the printed size")
    body = '<html lang="{}"><head><title>{}</title></head><body><p>{}</p>{}</body></html>'
    html = format_html(body, language, title, parts["ruler_words"], parts["ruler"])
    width, height = RULER_BOX_MM
    rules = f"@page{{size:{width}mm {height}mm;margin:0}}body{{font-size:7pt}}svg{{display:block}}"
    styles = ("css/tokens.css", "css/insert.css", *(script.sheet for script in scripts_of(html)))
    return Draft(html, styles).lay_out(rules).pdf()
