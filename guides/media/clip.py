"""Short clips of a technique: checked, stripped of what they say about their maker, kept as they play.

They are not encoded anew: that would need a video encoder on the server. Their containers are read part by part here,
because of the general readers on offer one half brings a whole media library along and the other reads one container.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import IO, Final

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils.translation import gettext as _

from . import mp4, webm
from .captions import Cue, written
from .clip_facts import ClipFacts, Damaged, Unfit
from .errors import NotTaken

MOST_BYTES: Final = 6 * 1024 * 1024
LONGEST_S: Final = 30.0
MOST_SIDE: Final = 1920


@dataclass(frozen=True)
class KeptClip:
    """A stored clip: ``file`` is its name, ``sha256`` the hash of what is stored."""

    file: str
    sha256: str
    size: int
    seconds: float
    width: int
    height: int


def keep_clip(upload: IO[bytes], size: int) -> KeptClip:
    """Check a clip, take out what it says besides picture and sound, and store it.

    Args:
        upload: the file.
        size: its length in bytes.

    Raises:
        NotTaken: not MP4 or WebM as browsers play it, too large, too long, or damaged.
    """
    if size > MOST_BYTES:
        raise NotTaken(
            _("Clip: %(size)s MB; %(most)s MB is the most, for phones on a slow line. Cut it, or save it smaller.")
            % {"size": f"{size / 2**20:.1f}", "most": MOST_BYTES // 2**20}
        )
    upload.seek(0)
    data = bytearray(upload.read())
    facts = _read(data)
    if not 0.2 <= facts.seconds <= LONGEST_S:
        raise NotTaken(
            _("Clip: it lasts %(seconds)s s; a clip of one step lasts up to %(most)s s. Cut it.")
            % {"seconds": f"{facts.seconds:.1f}", "most": f"{LONGEST_S:.0f}"}
        )
    if not 0 < min(facts.width, facts.height) <= max(facts.width, facts.height) <= MOST_SIDE:
        raise NotTaken(
            _("Clip: %(width)s × %(height)s pixels; %(most)s on the longer side is the most. Save it smaller.")
            % {"width": facts.width, "height": facts.height, "most": MOST_SIDE}
        )
    digest = hashlib.sha256(data).hexdigest()
    name = f"clips/{digest[:32]}.{facts.form}"
    _store(name, bytes(data))
    return KeptClip(name, digest, len(data), round(facts.seconds, 1), facts.width, facts.height)


def keep_captions(clip_file: str, language: str, cues: tuple[Cue, ...]) -> str:
    """Store the captions of a clip in a language; their name begins as the clip's does."""
    text = written(cues).encode()
    stem = clip_file.rpartition(".")[0]
    name = f"{stem}-{hashlib.sha256(text).hexdigest()[:12]}.{language}.vtt"
    _store(name, text)
    return name


def _read(data: bytearray) -> ClipFacts:
    try:
        if mp4.is_mp4(bytes(data[:8])):
            return mp4.read(data)
        if webm.is_webm(bytes(data[:4])):
            return webm.read(data)
    except Unfit as unfit:
        raise NotTaken(_unfit(str(unfit))) from unfit
    except (Damaged, IndexError, ValueError) as error:
        raise NotTaken(_("Clip: the file is damaged or not whole. Save it again and choose it once more.")) from error
    raise NotTaken(_("Clip: this is no MP4 or WebM file. Save it as MP4 and choose it again."))


def _unfit(reason: str) -> str:
    return {
        "brand": _("Clip: this kind of file does not play in every browser. Save it as MP4."),
        "tracks": _(
            "Clip: it needs one picture track and at most one of sound, and nothing else such as places. "
            "Save it as MP4 without location."
        ),
        "coding": _("Clip: its coding does not play in every browser. Save it as MP4 with H.264 and AAC."),
    }[reason]


def _store(name: str, content: bytes) -> None:
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(content))
