"""Captions in WebVTT: read strictly, written anew, so that what is stored is times and words alone.

Source: W3C, WebVTT: The Web Video Text Tracks Format.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _

from .errors import NotTaken

LONGEST: Final = 4000
_TIME = r"(?:(\d{1,2}):)?([0-5]?\d):([0-5]\d)[.,](\d{3})"
_CUE = re.compile(rf"^{_TIME}[ \t]+-->[ \t]+{_TIME}(?:[ \t].*)?$")
_TAG = re.compile(r"<[^>]*>")


@dataclass(frozen=True)
class Cue:
    """``start_s`` to ``end_s`` of the clip, and what is said or seen then."""

    start_s: float
    end_s: float
    words: str


def read(text: str, seconds: float) -> tuple[Cue, ...]:
    """Read captions for a clip.

    Args:
        text: WebVTT.
        seconds: how long the clip is.

    Raises:
        NotTaken: not WebVTT, no cue, a cue without words, out of order or after the end of the clip.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").lstrip("\ufeff").strip().split("\n")
    if not re.match(r"^WEBVTT(?:[ \t]|$)", lines[0]):
        raise NotTaken(_("Captions: begin with a line that says WEBVTT, then an empty line, then the first times."))
    cues: list[Cue] = []
    for block in re.split(r"\n{2,}", "\n".join(lines[1:]).strip()):
        rows = [row for row in block.split("\n") if row.strip()]
        if not rows or rows[0].startswith(("NOTE", "STYLE", "REGION")):
            continue
        if "-->" not in rows[0]:  # a cue may have a name of its own
            rows = rows[1:]
        cues.append(_cue(rows, len(cues) + 1))
    _refuse_times(cues, seconds)
    return tuple(cues)


def written(cues: tuple[Cue, ...]) -> str:
    """Write captions down: nothing but times and words."""
    blocks = (f"{_clock(cue.start_s)} --> {_clock(cue.end_s)}\n{html.escape(cue.words, quote=False)}" for cue in cues)
    return "\n\n".join(["WEBVTT", *blocks]) + "\n"


def _cue(rows: list[str], number: int) -> Cue:
    match = _CUE.match(rows[0].strip()) if rows else None
    if match is None:
        raise NotTaken(
            _("Captions: caption %(number)s has no times. Write them as 00:00.000 --> 00:04.000, words beneath.")
            % {"number": number}
        )
    times = match.groups()
    words = " ".join(html.unescape(_TAG.sub("", row)).strip() for row in rows[1:]).strip()
    if not words:
        raise NotTaken(_("Captions: caption %(number)s has no words. Write what is said or done.") % {"number": number})
    return Cue(_seconds(times[:4]), _seconds(times[4:]), words)


def _refuse_times(cues: list[Cue], seconds: float) -> None:
    if not cues:
        raise NotTaken(_("Captions: none found. Write at least one: what is said, or what the hands do."))
    before = 0.0
    for number, cue in enumerate(cues, start=1):
        if cue.end_s <= cue.start_s or cue.start_s < before:
            raise NotTaken(
                _(
                    "Captions: the times of caption %(number)s are out of order. The earlier goes first, and each ends "
                    "later than it starts."
                )
                % {"number": number}
            )
        if cue.end_s > seconds + 0.5:
            raise NotTaken(
                _("Captions: caption %(number)s ends after the clip, which lasts %(seconds)s s. End it sooner.")
                % {"number": number, "seconds": f"{seconds:.1f}"}
            )
        before = cue.start_s


def _seconds(parts: tuple[str | None, ...]) -> float:
    hours, minutes, seconds, thousandths = (int(part or 0) for part in parts)
    return hours * 3600 + minutes * 60 + seconds + thousandths / 1000


def _clock(time_s: float) -> str:
    whole, thousandths = divmod(round(time_s * 1000), 1000)
    return f"{whole // 60:02d}:{whole % 60:02d}.{thousandths:03d}"
