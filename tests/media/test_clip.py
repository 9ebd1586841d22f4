"""Clips: what plays is taken and stripped, the rest is refused. Boxes: ISO/IEC 14496-12; elements: RFC 8794, 9559."""

from __future__ import annotations

import contextlib
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guides.media import clip, mp4, webm
from guides.media.errors import NotTaken
from tests.factories.shown import box, element, track
from tests.factories.shown import mp4 as an_mp4
from tests.factories.shown import webm as a_webm

PLACE = b"+59.33+018.06/"


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def kept(data: bytes) -> clip.KeptClip:
    return clip.keep_clip(io.BytesIO(data), len(data))


GOOD = {
    "mp4": lambda: an_mp4(4.0),
    "mp4 with sound": lambda: an_mp4(4.0, track(), track(b"soun", b"mp4a", 0, 0)),
    "webm as recorded": lambda: a_webm(4.0),
    "webm with its length": lambda: a_webm(4.0, recorded=False),
    "webm, VP9": lambda: a_webm(4.0, b"V_VP9"),
}


@pytest.mark.parametrize("name", GOOD)
def test_what_plays_is_taken(name, folder):
    found = kept(GOOD[name]())
    assert (found.seconds, found.width, found.height) == (4.0, 320, 240)
    assert (folder / found.file).stat().st_size == found.size
    assert found.file.startswith(f"clips/{found.sha256[:32]}.")


BAD = {
    "a film": lambda: an_mp4(95.0),
    "no length": lambda: an_mp4(0.0),
    "another coding": lambda: an_mp4(4.0, track(coding=b"hvc1")),
    "sealed": lambda: an_mp4(4.0, track(coding=b"encv")),
    "places as a track": lambda: an_mp4(4.0, track(), track(b"meta", b"mebx")),
    "sound alone": lambda: an_mp4(4.0, track(b"soun", b"mp4a")),
    "two pictures": lambda: an_mp4(4.0, track(), track()),
    "another kind": lambda: an_mp4(4.0, brand=b"qt  "),
    "too wide": lambda: an_mp4(4.0, track(width=4096, height=2160)),
    "cut off": lambda: an_mp4(4.0)[:-20],
    "box too long": lambda: an_mp4(4.0, more=b"\x7f\xff\xff\xffskip"),
    "deep": lambda: an_mp4(4.0, more=deep(40)),
    "matroska": lambda: a_webm(4.0, doctype=b"matroska"),
    "webm of another coding": lambda: a_webm(4.0, b"V_MPEGH/ISO/HEVC"),
    "webm film": lambda: a_webm(60.0, recorded=False),
    "webm cut off": lambda: a_webm(4.0, recorded=False)[:-9],
    "page": lambda: b"<!DOCTYPE html><script>alert(1)</script>",
    "picture": lambda: b"\x89PNG\r\n\x1a\n" + bytes(99),
    "nothing": lambda: b"",
    "7 MB": lambda: an_mp4(4.0) + bytes(7 * 2**20),
}


def deep(levels: int) -> bytes:
    inner = b""
    for _ in range(levels):
        inner = box(b"minf", inner)
    return inner


@pytest.mark.parametrize("name", BAD)
def test_what_does_not_play_is_refused_with_a_way_out(name, folder):
    with pytest.raises(NotTaken) as refused:
        kept(BAD[name]())
    assert refused.value.messages[0].startswith("Clip: ")
    assert list(folder.rglob("*.mp4")) == list(folder.rglob("*.webm")) == []


def test_place_name_and_date_are_taken_out_of_mp4_and_nothing_moves(folder):
    sent = an_mp4(
        4.0, track(more=box(b"udta", PLACE)), more=box(b"udta", box(b"\xa9xyz", PLACE)), top=box(b"uuid", PLACE)
    )
    assert sent.count(PLACE) == 3
    stored = (folder / kept(sent).file).read_bytes()
    assert len(stored) == len(sent)
    assert stored.index(b"mdat") == sent.index(b"mdat")
    for told in (PLACE, b"udta", b"Maker", (3_800_000_000).to_bytes(4)):
        assert told in sent
        assert told not in stored
    assert mp4.read(bytearray(stored)).seconds == 4.0


def test_title_tags_and_attachments_are_taken_out_of_webm(folder):
    sent = a_webm(4.0, more=element(0x1254C367, PLACE) + element(0x1941A469, PLACE * 20))
    stored = (folder / kept(sent).file).read_bytes()
    assert len(stored) == len(sent)
    for told in (PLACE, b"My kitchen"):
        assert told in sent
        assert told not in stored
    assert webm.read(bytearray(stored)).seconds == 4.0


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_damage_anywhere_is_refused_or_harmless(data):
    """Never another error than a refusal."""
    whole = bytearray(data.draw(st.sampled_from([an_mp4(4.0), a_webm(4.0), a_webm(4.0, recorded=False)])))
    for _ in range(data.draw(st.integers(1, 6))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    with contextlib.suppress(NotTaken):
        assert clip._read(whole).form in ("mp4", "webm")
