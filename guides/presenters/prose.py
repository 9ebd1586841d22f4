"""Longer texts: Markdown as a roaster types it, HTML that can do nothing."""

from __future__ import annotations

from typing import Final

import nh3
from django.utils.safestring import SafeString, mark_safe
from markdown_it import MarkdownIt

_TAGS: Final = {"p", "br", "em", "strong", "ul", "ol", "li", "blockquote", "h3", "h4"}

# No raw HTML, no links, no pictures: text fields hold words.
_MARKDOWN: Final = MarkdownIt("commonmark", {"html": False, "breaks": True}).disable(
    ["link", "image", "autolink", "html_inline", "html_block", "reference", "code", "fence", "backticks"]
)


def html(markdown: str) -> SafeString:
    """Give Markdown as clean HTML: paragraphs, emphasis, lists, quotations, two levels of heading.

    Args:
        markdown: as typed; raw HTML in it is shown as text.

    Returns:
        HTML without attributes, safe to place in a page.
    """
    return mark_safe(nh3.clean(_MARKDOWN.render(markdown), tags=_TAGS, attributes={}))  # noqa: S308
