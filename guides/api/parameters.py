"""What an address of the API may carry behind its question mark. One table reads it and documents it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.conf import settings
from rest_framework.request import Request

from guides.codes import gs1
from guides.presenters import adapt_request
from guides.presenters.adapt_request import NAMES
from guides.presenters.typed import LONGEST
from guides.queries import house

from . import cursors
from .problems import BadRequest, FieldProblem

MOST: Final = 100
USUAL: Final = 50


@dataclass(frozen=True)
class Parameter:
    """``read`` turns the text into a value or raises ``ValueError`` with what to write; ``schema`` is JSON Schema."""

    name: str
    says: str
    schema: Mapping[str, Any]
    read: Callable[[str], Any]


def read(request: Request, known: Sequence[Parameter]) -> dict[str, Any]:
    """Read every parameter of a request; what is not given is left out.

    Raises:
        BadRequest: with every parameter that is unknown, doubled or unreadable.
    """
    table = {parameter.name: parameter for parameter in known}
    values, problems = {}, []
    for name, texts in request.query_params.lists():
        if name not in table:
            choices = ", ".join(table) or "none"
            problems.append(FieldProblem(name, "unknown", f"This address does not know it. It knows: {choices}."))
        elif len(texts) > 1:
            problems.append(FieldProblem(name, "twice", "It is given more than once. Keep one."))
        else:
            try:
                values[name] = table[name].read(texts[0])
            except ValueError as error:
                problems.append(FieldProblem(name, "invalid", str(error)))
    if problems:
        raise BadRequest(*problems)
    return values


def _language(text: str) -> str:
    offered = house.current().languages
    if text not in offered:
        raise ValueError(f"This roastery writes in {', '.join(offered)}. Choose one of them.")
    return text


def _limit(text: str) -> int:
    if not (text.isascii() and text.isdigit() and text[0] != "0" and len(text) < 4 and int(text) <= MOST):
        raise ValueError(f"Write a whole number from 1 to {MOST}.")
    return int(text)


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and text[0] != "0" and len(text) <= 9):
        raise ValueError("Write a whole number from 1 to 999999999.")
    return int(text)


def _gtin(text: str) -> str:
    if not gs1.is_gtin14(text):
        raise ValueError("Write a GTIN in 14 digits with a fitting check digit, zeros in front of a shorter one.")
    return text


def _yes_no(text: str) -> bool:
    if text not in ("true", "false"):
        raise ValueError("Write true or false.")
    return text == "true"


def _text(text: str) -> str:
    if len(text) > LONGEST:
        raise ValueError(f"At most {LONGEST} characters.")
    return text


_POSITIVE: Final = {"type": "integer", "minimum": 1, "maximum": 999_999_999}
LANGUAGE: Final = Parameter(
    "language",
    "Language of words and numbers; the roastery's main one without it.",
    {"type": "string", "enum": [code for code, _name in settings.LANGUAGES]},
    _language,
)
CURSOR: Final = Parameter(
    "cursor", "Where to go on, as the last answer gave it.", {"type": "string", "maxLength": 40}, cursors.read
)
LIMIT: Final = Parameter(
    "limit",
    f"How many at most; {USUAL} without it.",
    {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL},
    _limit,
)
COFFEE: Final = Parameter("coffee", "Only of the coffee with this id.", _POSITIVE, _number)
GTIN: Final = Parameter(
    "gtin", "Only the coffee whose pack has this GTIN.", {"type": "string", "pattern": "^[0-9]{14}$"}, _gtin
)
ON_SALE: Final = Parameter("on_sale", "Only coffees that are on sale, or only others.", {"type": "boolean"}, _yes_no)
LOT: Final = Parameter(
    "lot",
    "Beside this lot: its name as printed on the bag, in either case.",
    {"type": "string", "pattern": "^[0-9A-Za-z.-]{1,20}$"},
    _text,
)


def _meanings() -> dict[str, str]:
    """What the parameters of a page ask for, from the table where they are written down."""
    rows = (line.split(maxsplit=1) for line in str(adapt_request.__doc__).splitlines())
    return {row[0]: row[1][0].upper() + row[1][1:] for row in rows if len(row) == 2 and row[0] in NAMES}


ADAPTING: Final = tuple(
    Parameter(name, f"{_meanings()[name]}.", {"type": "string", "maxLength": LONGEST}, _text) for name in NAMES
)
