"""Text as it was typed: tidied, and refused where it is empty or too long."""

from __future__ import annotations

import unicodedata

from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.errors import Refusal


def tidy(text: str) -> str:
    """Give a text without control characters, with plain line ends and no space around it."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(sign for sign in lines if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs")).strip()


def refusals(text: str, field: str, longest: int, empty: str | Promise) -> list[Refusal]:
    """Why a tidied text will not do; ``empty`` says what to write where nothing is there."""
    if not any(sign.isalnum() for sign in text):
        return [Refusal(empty, field=field)]
    if len(text) > longest:
        too_long = format_lazy(
            _("It is {length} characters long; {longest} is the most. Leave out {over}."),
            length=len(text),
            longest=longest,
            over=len(text) - longest,
        )
        return [Refusal(too_long, field=field)]
    return []
