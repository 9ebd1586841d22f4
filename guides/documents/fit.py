"""Whether a laid-out document keeps to its paper: nothing cut, nothing over an edge, nothing on a further page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.codes.qr import QUIET_ZONE

from .formats import MODULE_MM, TEXT_FROM_TRIM_MM, Format
from .placed import Piece
from .render import Laid
from .typefaces import missing_characters

_TOLERANCE_MM = 0.2
_FOOT_GAP_MM = 1.0
_EDGE_MM = TEXT_FROM_TRIM_MM - _TOLERANCE_MM
_SIDES = {"front": _("front"), "back": _("back")}

_FIELDS = {
    "sample": _("Sample mark"),
    "house": _("Name of the roastery"),
    "title": _("Title"),
    "summary": _("In a sentence"),
    "lot": _("Lot line"),
    "window": _("Window"),
    "ingredients": _("Ingredients"),
    "plan": _("Steps"),
    "code": _("Code"),
    "scan": _("Address"),
    "cautions": _("Cautions"),
    "here": _("What differs at the site"),
    "drawing": _("Plan drawing"),
    "targets": _("Targets"),
    "before": _("Before the clock"),
    "why": _("Why this plan"),
    "safety": _("Safety"),
    "rests": _("What the figures rest on"),
    "colophon": _("Foot line"),
}
_WRITTEN = {"title", "summary", "why", "step"}
_STEP_FIELDS = {"step": _("Step {number}"), "why": _("Step {number}: Why")}


@dataclass(frozen=True)
class Misfit:
    """One thing that does not keep to the paper. ``spills`` marks those that smaller type may cure."""

    side: str
    field: str
    message: object
    spills: bool

    def __str__(self) -> str:
        return str(self.message)


def misfits(laid: Laid, paper: Format) -> list[Misfit]:
    """Give what does not keep to the paper, once for every field."""
    pieces = [piece for piece in laid.pieces() if piece.text.strip() or not piece.text]
    found: dict[tuple[str, str], Misfit] = {}
    for misfit in (
        *_without_room(pieces, paper),
        *_too_wide(pieces, paper),
        *_overlapping(pieces),
        *_lost(pieces, laid.written()),
    ):
        found.setdefault((misfit.side, misfit.field), misfit)
    return [*found.values(), *_without_glyphs(pieces)]


def field_name(field: str) -> object:
    """Give the name a field has for its writer: ``title``, or ``step 3`` and ``why 3``."""
    kind, _space, number = field.partition(" ")
    return format_lazy(_STEP_FIELDS[kind], number=number) if number else _FIELDS.get(field, field)


def _without_room(pieces: list[Piece], paper: Format) -> Iterator[Misfit]:
    """For each side the first field that its page has no room for; those behind it only follow."""
    for side in paper.sides:
        own = [piece for piece in pieces if piece.side == side]
        page = min((piece.page for piece in own), default=0)
        edge = paper.height_mm - _EDGE_MM
        foot = min((piece.top - _FOOT_GAP_MM for piece in own if piece.foot), default=edge)
        for piece in own:
            limit = edge if piece.foot else min(edge, foot)
            white = _own_white(piece)
            if piece.page != page or piece.bottom > limit + white + _TOLERANCE_MM or piece.top < _EDGE_MM - white:
                yield Misfit(side, piece.field, _no_room(piece, own), spills=True)
                break


def _own_white(piece: Piece) -> float:
    """How far a piece may reach into the margin: a symbol by the white around it."""
    return QUIET_ZONE * MODULE_MM if piece.field == "code" and not piece.text else 0.0


def _no_room(piece: Piece, pieces: list[Piece]) -> object:
    text = _("{field}: no room left for it on the {side} of the insert. Shorten the longest texts there: {longest}.")
    longest = _longest(pieces)
    return format_lazy(
        text,
        field=field_name(piece.field),
        side=_SIDES[piece.side],
        longest=format_lazy(", ".join(["{}"] * len(longest)), *longest),
    )


def _lost(pieces: list[Piece], written: Mapping[tuple[str, str], str]) -> Iterator[Misfit]:
    """Texts of which some letters lie nowhere: the engine drops what it cannot place without a word."""
    placed: Counter[tuple[str, str]] = Counter()
    for piece in pieces:
        placed[piece.side, piece.field] += _letters(piece.text)
    for (side, field), text in written.items():
        if placed[side, field] < _letters(text):
            message = _("{field}: some of it is lost on the insert. Shorten it, or the texts around it.")
            yield Misfit(side, field, format_lazy(message, field=field_name(field)), spills=True)


def _letters(text: str) -> int:
    return sum(character.isalnum() for character in text)


def _longest(pieces: list[Piece]) -> list[object]:
    """What a writer can shorten: the other texts are made from numbers."""
    lengths: Counter[str] = Counter()
    for piece in pieces:
        if piece.field.partition(" ")[0] in _WRITTEN:
            lengths[piece.field] += len(piece.text)
    return [
        format_lazy(_("{field} ({count} characters)"), field=field_name(field), count=count)
        for field, count in lengths.most_common(3)
    ]


def _too_wide(pieces: list[Piece], paper: Format) -> Iterator[Misfit]:
    for piece in pieces:
        white = _own_white(piece)
        # Words written from right to left reach over the other edge of their column.
        start = max(piece.column_left - _TOLERANCE_MM, _EDGE_MM - white)
        end = min(piece.column_right + _TOLERANCE_MM, paper.width_mm - _EDGE_MM + white)
        if piece.right > end or piece.left < start:
            text = _("{field}: too wide for its column on the insert. Shorten it, or break a long word.")
            yield Misfit(piece.side, piece.field, format_lazy(text, field=field_name(piece.field)), spills=True)


def _overlapping(pieces: list[Piece]) -> Iterator[Misfit]:
    """Parts of different fields that lie on one another. Lines may touch: a line is taller than its letters."""
    ordered = sorted(pieces, key=lambda piece: (piece.page, piece.top))
    for index, upper in enumerate(ordered):
        for lower in ordered[index + 1 :]:
            if lower.page != upper.page or lower.top > upper.bottom:
                break
            across = min(upper.right, lower.right) - max(upper.left, lower.left)
            down = min(upper.bottom, lower.bottom) - lower.top
            slack = min(upper.bottom - upper.top, lower.bottom - lower.top) / 3
            if lower.field != upper.field and across > _TOLERANCE_MM and down > slack:
                text = _("{field}: it lies over “{other}” on the insert. Shorten one of them.")
                names = {"field": field_name(lower.field), "other": field_name(upper.field)}
                yield Misfit(lower.side, lower.field, format_lazy(text, **names), spills=True)


def _without_glyphs(pieces: list[Piece]) -> Iterator[Misfit]:
    for piece in pieces:
        missing = missing_characters(piece.text)
        if missing:
            yield Misfit(
                piece.side,
                piece.field,
                format_lazy(
                    _("{field}: the letters for paper have no “{missing}”. Write it another way."),
                    field=field_name(piece.field),
                    missing=" ".join(missing),
                ),
                spills=False,
            )
