"""MP4 files read box by box: what is in them, how long, and a copy without what they say about their maker.

Source: ISO/IEC 14496-12 (boxes), 14496-14 (``mp4a``), 14496-15 (``avc1``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from .clip_facts import ClipFacts, Damaged, Unfit

_BRANDS: Final = {b"isom", b"iso2", b"iso4", b"iso5", b"iso6", b"mp41", b"mp42", b"avc1", b"M4V "}
_HOLDERS: Final = {b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts"}
_TELLS: Final = {b"udta", b"meta", b"uuid", b"Xtra"}
"""Boxes that hold names, places and whatever a maker liked."""
_DATED: Final = {b"mvhd", b"tkhd", b"mdhd"}
_PICTURE: Final = {b"avc1", b"avc3"}
_SOUND: Final = {b"mp4a"}
_DEEPEST: Final = 8


@dataclass
class _Track:
    handler: bytes = b""
    coding: bytes = b""
    width: int = 0
    height: int = 0


@dataclass
class _Found:
    seconds: float = 0.0
    tracks: list[_Track] = field(default_factory=list)


def is_mp4(data: bytes) -> bool:
    """Tell by the first box."""
    return data[4:8] == b"ftyp"


def read(data: bytearray) -> ClipFacts:
    """Read a file and blank, in place, what it says besides picture and sound.

    Raises:
        Damaged: its boxes do not fit into each other.
        Unfit: it holds something browsers do not play, or more than one picture and one sound.
    """
    top = list(_boxes(data, 0, len(data)))
    if not top or top[0][0] != b"ftyp" or not _brands(data, top[0]) & _BRANDS:
        raise Unfit("brand")
    if not any(kind == b"mdat" for kind, _, _ in top):
        raise Damaged
    found = _Found()
    _walk(data, 0, len(data), found, None, 0)
    pictures = [track for track in found.tracks if track.handler == b"vide"]
    sounds = [track for track in found.tracks if track.handler == b"soun"]
    if len(pictures) != 1 or len(sounds) > 1 or len(pictures) + len(sounds) != len(found.tracks):
        raise Unfit("tracks")
    if pictures[0].coding not in _PICTURE or (sounds and sounds[0].coding not in _SOUND):
        raise Unfit("coding")
    return ClipFacts("mp4", "video/mp4", found.seconds, pictures[0].width, pictures[0].height, bool(sounds))


def _boxes(data: bytearray, start: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Boxes side by side: kind, where the body begins, where it ends."""
    at = start
    while at < end:
        if end - at < 8:
            raise Damaged
        size, kind, head = int.from_bytes(data[at : at + 4]), bytes(data[at + 4 : at + 8]), 8
        if size == 1:
            size, head = int.from_bytes(data[at + 8 : at + 16]), 16
        elif size == 0:
            size = end - at
        if size < head or at + size > end:
            raise Damaged
        yield kind, at + head, at + size
        at += size


def _brands(data: bytearray, box: tuple[bytes, int, int]) -> set[bytes]:
    _, start, end = box
    return {bytes(data[at : at + 4]) for at in range(start, end, 4) if at != start + 4}


def _walk(data: bytearray, start: int, end: int, found: _Found, track: _Track | None, depth: int) -> None:
    if depth > _DEEPEST:
        raise Damaged
    for kind, body, stop in _boxes(data, start, end):
        if kind in _TELLS:
            # A box of free space as long as before: nothing after it moves.
            data[body - 4 : body] = b"free"
            data[body:stop] = bytes(stop - body)
        elif kind in _HOLDERS:
            inner = track
            if kind == b"trak":
                inner = _Track()
                found.tracks.append(inner)
            _walk(data, body, stop, found, inner, depth + 1)
        else:
            _leaf(data, kind, body, stop, found, track)


def _leaf(data: bytearray, kind: bytes, body: int, stop: int, found: _Found, track: _Track | None) -> None:
    if kind in _DATED:
        if stop - body < 20:
            raise Damaged
        wide = data[body] == 1
        if kind == b"mvhd":
            scale_at = body + (20 if wide else 12)
            scale = int.from_bytes(data[scale_at : scale_at + 4])
            length = int.from_bytes(data[scale_at + 4 : scale_at + (12 if wide else 8)])
            found.seconds = length / scale if scale else 0.0
        if kind == b"tkhd" and track is not None:
            track.width, track.height = (int.from_bytes(data[at : at + 4]) >> 16 for at in (stop - 8, stop - 4))
        data[body + 4 : body + (20 if wide else 12)] = bytes(16 if wide else 8)  # made and changed when
    elif kind == b"hdlr" and track is not None:
        track.handler = bytes(data[body + 8 : body + 12])
        data[body + 24 : stop] = bytes(max(stop - body - 24, 0))  # the name of whoever wrote it
    elif kind == b"stsd" and track is not None:
        track.coding = bytes(data[body + 12 : body + 16])
