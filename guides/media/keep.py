"""Puts a checked picture into the store, in several widths and two formats, under a name made from its content."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from typing import IO

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from PIL import Image

from guides.models.kept_picture import WIDTHS, picture_name

from . import picture


@dataclass(frozen=True)
class Kept:
    """What is stored: ``name`` leads its files' names, ``sha256`` is of its largest JPEG; ``widths`` rise."""

    name: str
    sha256: str
    width: int
    height: int
    widths: tuple[int, ...]


def keep_picture(upload: IO[bytes], size: int) -> Kept:
    """Check an upload, draw it anew in every width, and store it. The same picture is stored once.

    Args:
        upload: the file.
        size: its length in bytes.

    Raises:
        NotTaken: as ``picture.opened``.
    """
    return keep_drawn(picture.opened(upload, size))


def keep_drawn(drawn: Image.Image) -> Kept:
    """Store a picture of ours: RGB pixels, no wider than the widest edition."""
    widths = (*(width for width in WIDTHS if width < drawn.width), drawn.width)
    largest = _jpeg(drawn)
    digest = hashlib.sha256(largest).hexdigest()
    name = digest[:32]
    for width in widths:
        edition = drawn.resize((width, height_at(drawn, width)), Image.Resampling.LANCZOS, reducing_gap=3.0)
        _store(picture_name(name, width, "jpg"), largest if width == drawn.width else _jpeg(edition))
        _store(picture_name(name, width, "webp"), _webp(edition))
    return Kept(name, digest, drawn.width, drawn.height, widths)


def height_at(drawn: Image.Image, width: int) -> int:
    """How high an edition of a width is."""
    return max(1, round(drawn.height * width / drawn.width))


def _store(name: str, content: bytes) -> None:
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(content))


def _jpeg(edition: Image.Image) -> bytes:
    out = io.BytesIO()
    edition.save(out, "JPEG", quality=82, optimize=True, progressive=True)
    return out.getvalue()


def _webp(edition: Image.Image) -> bytes:
    out = io.BytesIO()
    edition.save(out, "WEBP", quality=80, method=4)
    return out.getvalue()
