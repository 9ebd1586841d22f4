"""WebM files read element by element: what is in them, how long, and a copy without what they say about their maker.

Recorders that write as they go leave sizes open and the length out; the last block's time stands in for it.

Source: RFC 8794 (EBML), RFC 9559 (Matroska), WebM container guidelines.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from .clip_facts import ClipFacts, Damaged, Unfit

_HEADER, _SEGMENT, _CLUSTER = 0x1A45DFA3, 0x18538067, 0x1F43B675
_INFO, _TRACKS, _TRACK, _VIDEO, _GROUP = 0x1549A966, 0x1654AE6B, 0xAE, 0xE0, 0xA0
_HOLDERS: Final = {_INFO, _TRACKS, _TRACK, _VIDEO, _GROUP}
_TOP: Final = {_INFO, _TRACKS, _CLUSTER, 0x114D9B74, 0x1C53BB6B, 0x1941A469, 0x1043A770, 0x1254C367}
_TELLS: Final = {0x1941A469, 0x1043A770, 0x1254C367, 0x7BA9, 0x4461, 0x536E}
"""Attachments, chapters, tags, title, date, a track's name."""
_DOCTYPE, _SCALE, _DURATION = 0x4282, 0x2AD7B1, 0x4489
_KIND, _CODING, _WIDTH, _HEIGHT = 0x83, 0x86, 0xB0, 0xBA
_TIME, _SIMPLE_BLOCK, _BLOCK = 0xE7, 0xA3, 0xA1
_PICTURE: Final = {b"V_VP8", b"V_VP9", b"V_AV1"}
_SOUND: Final = {b"A_OPUS", b"A_VORBIS"}
_OPEN = -1  # a size left open
_DEEPEST: Final = 8


@dataclass
class _Found:
    doctype: bytes = b""
    scale_ns: int = 1_000_000
    duration: float = 0.0
    cluster: int = 0
    last: int = 0
    kinds: list[int] = field(default_factory=list)
    codings: list[bytes] = field(default_factory=list)
    width: int = 0
    height: int = 0

    @property
    def seconds(self) -> float:
        return max(self.duration, self.last) * self.scale_ns / 1e9


def is_webm(data: bytes) -> bool:
    """Tell by the first element."""
    return data[:4] == _HEADER.to_bytes(4)


def read(data: bytearray) -> ClipFacts:
    """Read a file and blank, in place, what it says besides picture and sound.

    Raises:
        Damaged: its elements do not fit into each other.
        Unfit: it holds something browsers do not play, or more than one picture and one sound.
    """
    found = _Found()
    _walk(data, 0, len(data), found, 0)
    if found.doctype != b"webm":
        raise Unfit("brand")
    if sorted(found.kinds) not in ([1], [1, 2]) or len(found.codings) != len(found.kinds):
        raise Unfit("tracks")
    if not set(found.codings) <= _PICTURE | _SOUND:
        raise Unfit("coding")
    return ClipFacts("webm", "video/webm", found.seconds, found.width, found.height, 2 in found.kinds)


def _elements(data: bytearray, start: int, end: int, *, in_cluster: bool) -> Iterator[tuple[int, int, int, int]]:
    """Elements side by side: id, where the element, its body and its end are. An open one ends where its kind can."""
    at = start
    while at < end:
        kind, after = _number(data, at, end, keep_mark=True)
        if in_cluster and kind in _TOP:
            return
        size, body = _number(data, after, end)
        stop = end if size == _OPEN else body + size
        if stop > end:
            raise Damaged
        if size == _OPEN:
            if kind not in (_SEGMENT, _CLUSTER):
                raise Damaged
            if kind == _CLUSTER:
                stop = max((inner[3] for inner in _elements(data, body, end, in_cluster=True)), default=body)
        yield kind, at, body, stop
        at = stop


def _number(data: bytearray, at: int, end: int, *, keep_mark: bool = False) -> tuple[int, int]:
    """A number that says its own length; ``-1`` for a size left open."""
    if at >= end or data[at] == 0:
        raise Damaged
    length = 9 - data[at].bit_length()
    if at + length > end or (keep_mark and length > 4):
        raise Damaged
    value = int.from_bytes(data[at : at + length])
    if keep_mark:
        return value, at + length
    ones = (1 << 7 * length) - 1
    value &= ones
    return (_OPEN if value == ones else value), at + length


def _walk(data: bytearray, start: int, end: int, found: _Found, depth: int, *, in_cluster: bool = False) -> None:
    if depth > _DEEPEST:
        raise Damaged
    if depth == 0 and not is_webm(bytes(data[:4])):
        raise Damaged
    for kind, at, body, stop in _elements(data, start, end, in_cluster=in_cluster):
        if kind in _TELLS:
            _blank(data, at, stop)
        elif kind in _HOLDERS or kind in (_HEADER, _SEGMENT, _CLUSTER):
            _walk(data, body, stop, found, depth + 1, in_cluster=kind == _CLUSTER)
        else:
            _leaf(kind, bytes(data[body : min(stop, body + 32)]), stop - body, found)


def _blank(data: bytearray, at: int, stop: int) -> None:
    """An element of nothing, as long as before: nothing after it moves."""
    length = stop - at
    head = bytes([0xEC, 0x80 | length - 2]) if length <= 128 else b"\xec\x01" + (length - 9).to_bytes(7)
    data[at:stop] = head + bytes(length - len(head))


def _leaf(kind: int, body: bytes, size: int, found: _Found) -> None:
    if kind == _DOCTYPE:
        found.doctype = body.rstrip(b"\0")
    elif kind == _SCALE:
        found.scale_ns = int.from_bytes(body[:size])
    elif kind == _DURATION and size in (4, 8):
        found.duration = struct.unpack(">f" if size == 4 else ">d", body[:size])[0]
    elif kind == _KIND:
        found.kinds.append(int.from_bytes(body[:size]))
    elif kind == _CODING:
        found.codings.append(body[:size].rstrip(b"\0"))
    elif kind == _WIDTH:
        found.width = int.from_bytes(body[:size])
    elif kind == _HEIGHT:
        found.height = int.from_bytes(body[:size])
    elif kind == _TIME:
        found.cluster = int.from_bytes(body[:size])
    elif kind in (_SIMPLE_BLOCK, _BLOCK):
        _, after = _number(bytearray(body), 0, len(body))
        found.last = max(found.last, found.cluster + int.from_bytes(body[after : after + 2], signed=True))
