"""Pictures and clips for tests: drawn or put together here, part by part."""

from __future__ import annotations

import io
import struct
from typing import Any

from PIL import Image, ImageDraw

from guides.media.captions import read
from guides.media.clip import keep_captions, keep_clip
from guides.media.keep import keep_drawn
from guides.models import Coffee, CoffeePicture, Step, StepClip, StepPicture, TrialBrew, TrialPicture

CAPTIONS = "WEBVTT\n\n00:00.000 --> 00:01.000\nCircles from the rim inward\n"


def drawn(width: int = 640, height: int = 420, seed: int = 1) -> Image.Image:
    picture = Image.new("RGB", (width, height), (200, 190 - seed % 90, 170))
    ImageDraw.Draw(picture).ellipse((40, 30, width // 2, height - 40), fill=(90, 50, 20 + seed % 200))
    return picture


def encoded(picture: Image.Image, form: str = "JPEG", **options: Any) -> bytes:
    out = io.BytesIO()
    picture.save(out, form, **options)
    return out.getvalue()


def coffee_picture(coffee: Coffee, **alt: str) -> CoffeePicture:
    return CoffeePicture.objects.create(coffee=coffee, **_columns(drawn(seed=coffee.pk)), alt=alt or {"en": "A bag."})


def trial_picture(brew: TrialBrew, **alt: str) -> TrialPicture:
    return TrialPicture.objects.create(brew=brew, **_columns(drawn(seed=brew.pk)), alt=alt or {"en": "An even bed."})


def step_picture(step: Step, **alt: str) -> StepPicture:
    return StepPicture.objects.create(step=step, **_columns(drawn(seed=step.pk)), alt=alt or {"en": "A wet bed."})


def step_clip(step: Step, data: bytes | None = None, **alt: str) -> StepClip:
    data = data or mp4()
    kept = keep_clip(io.BytesIO(data), len(data))
    return StepClip.objects.create(
        step=step,
        **_columns(drawn(320, 240, seed=step.pk + 7)),
        alt=alt or {"en": "Circles."},
        file=kept.file,
        file_sha256=kept.sha256,
        size=kept.size,
        seconds=kept.seconds,
        captions={"en": keep_captions(kept.file, "en", read(CAPTIONS, kept.seconds))},
    )


def _columns(picture: Image.Image) -> dict[str, Any]:
    kept = keep_drawn(picture)
    return {
        "name": kept.name,
        "sha256": kept.sha256,
        "width": kept.width,
        "height": kept.height,
        "widths": list(kept.widths),
    }


def box(kind: bytes, *bodies: bytes) -> bytes:
    """A box of an MP4 file (ISO/IEC 14496-12, 4.2)."""
    body = b"".join(bodies)
    return struct.pack(">I4s", 8 + len(body), kind) + body


def track(
    handler: bytes = b"vide", coding: bytes = b"avc1", width: int = 320, height: int = 240, more: bytes = b""
) -> bytes:
    header = (
        struct.pack(">IIIII", 3, 3_800_000_000, 3_800_000_000, 1, 0)
        + bytes(56)
        + struct.pack(">II", width << 16, height << 16)
    )
    described = box(b"stsd", struct.pack(">II", 0, 1), box(coding, bytes(78)))
    handled = box(b"hdlr", struct.pack(">II4s", 0, 0, handler), bytes(12), b"Maker's handler\0")
    return box(b"trak", box(b"tkhd", header), box(b"mdia", handled, box(b"minf", box(b"stbl", described))), more)


def mp4(seconds: float = 4.0, *tracks: bytes, brand: bytes = b"isom", more: bytes = b"", top: bytes = b"") -> bytes:
    """A clip as far as its boxes go; it holds no picture that could be played."""
    movie = struct.pack(">IIIII", 0, 3_800_000_000, 3_800_000_000, 1000, int(seconds * 1000)) + bytes(80)
    return b"".join(
        [
            box(b"ftyp", brand, bytes(4), brand),
            box(b"moov", box(b"mvhd", movie), *(tracks or (track(),)), more),
            top,
            box(b"mdat", bytes(64)),
        ]
    )


def element(kind: int, *bodies: bytes, open_size: bool = False) -> bytes:
    """An element of a WebM file (RFC 8794, 6)."""
    body = b"".join(bodies)
    head = kind.to_bytes((kind.bit_length() + 7) // 8)
    return head + (b"\x01" + b"\xff" * 7 if open_size else b"\x01" + len(body).to_bytes(7)) + body


def webm(
    seconds: float = 4.0,
    coding: bytes = b"V_VP8",
    doctype: bytes = b"webm",
    *,
    recorded: bool = True,
    more: bytes = b"",
) -> bytes:
    """A clip as far as its elements go; ``recorded`` leaves sizes and length open, as recorders do."""
    length = b"" if recorded else element(0x4489, struct.pack(">d", seconds * 1000))
    info = element(0x1549A966, element(0x2AD7B1, (1_000_000).to_bytes(3)), length, element(0x7BA9, b"My kitchen"))
    shown = element(
        0xAE,
        element(0x83, b"\1"),
        element(0x86, coding),
        element(0xE0, element(0xB0, b"\x01\x40"), element(0xBA, b"\xf0")),
    )
    last = int(seconds * 1000)
    cluster = element(
        0x1F43B675,
        element(0xE7, (last // 2).to_bytes(2)),
        element(0xA3, b"\x81" + (last - last // 2).to_bytes(2) + b"\x80pixels"),
        open_size=recorded,
    )
    return element(0x1A45DFA3, element(0x4282, doctype)) + element(
        0x18538067, info, element(0x1654AE6B, shown), more, cluster, open_size=recorded
    )
