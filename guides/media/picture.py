"""Uploaded pictures: checked before a pixel is decoded, then drawn anew.

A file of some kilobytes may unfold to hundreds of megabytes, carry the place it was taken at, or be a page in disguise.
Only three formats are opened, by name; size and pixels are read from the header first; what is kept is drawn anew and
holds pixels alone.
"""

from __future__ import annotations

import io
import warnings
from typing import IO, Final

from django.utils.translation import gettext as _
from PIL import Image, ImageCms, ImageFile, ImageOps

from .errors import NotTaken

FORMATS: Final = ("JPEG", "PNG", "WEBP")
MOST_BYTES: Final = 12 * 1024 * 1024
MOST_PIXELS: Final = 25_000_000
LEAST_SIDE, MOST_SIDE = 240, 10_000
WIDEST: Final = 1600
"""The widest edition kept, in pixels."""

_READABLE_AS = (b"<script", b"<html", b"<!doctype", b"<svg xmlns", b"<?php", b"%pdf-1", b"javascript:")
_GROUND = "#ffffff"


def opened(upload: IO[bytes], size: int) -> Image.Image:
    """Check an upload and give its picture: upright, in sRGB, without metadata, no wider or higher than ``WIDEST``.

    Args:
        upload: the file, at any position.
        size: its length in bytes.

    Raises:
        NotTaken: not a still picture of a known format, too large, too small, or damaged.
    """
    if size > MOST_BYTES:
        raise NotTaken(
            _("Picture: %(size)s MB; %(most)s MB is the most. Save it smaller.")
            % {"size": f"{size / 2**20:.0f}", "most": MOST_BYTES // 2**20}
        )
    upload.seek(0)
    try:
        # Truncated files and bombs are errors, not warnings.
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture = Image.open(upload, formats=FORMATS)
            _refuse_by_header(picture)
            _refuse_disguises(upload)
            # The PDF engine tells Pillow, for the whole process, to fill in what a cut-off file lacks.
            ImageFile.LOAD_TRUNCATED_IMAGES = False
            return _drawn(picture)
    except NotTaken:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_pixels() from error
    except Exception as error:  # decoders fail in many ways
        raise NotTaken(
            _("Picture: this is no JPEG, PNG or WebP picture, or it is damaged. Save it as JPEG and choose it again.")
        ) from error


def _too_many_pixels() -> NotTaken:
    return NotTaken(_("Picture: more than %(most)s megapixels. Save it smaller.") % {"most": MOST_PIXELS // 1_000_000})


def _refuse_by_header(picture: ImageFile.ImageFile) -> None:
    """Look at what the header says, before anything is decoded."""
    width, height = picture.size
    if width * height > MOST_PIXELS or max(width, height) > MOST_SIDE:
        raise _too_many_pixels()
    if min(width, height) < LEAST_SIDE:
        raise NotTaken(
            _("Picture: %(width)s × %(height)s pixels is too small to see anything on; each side needs %(least)s.")
            % {"width": width, "height": height, "least": LEAST_SIDE}
        )
    # Phones put a second picture behind the first (MPO); its first is meant.
    if getattr(picture, "n_frames", 1) > 1 and picture.format != "MPO":
        raise NotTaken(_("Picture: it moves. Choose a still picture; a moving one goes in as a clip."))


def _refuse_disguises(upload: IO[bytes]) -> None:
    """Refuse a picture that is also a page, a paper or an archive. Nothing of it would be kept; it is not sent by
    accident either."""
    upload.seek(0)
    held = upload.read()
    if any(mark in held.lower() for mark in _READABLE_AS) or (
        b"PK\x03\x04" in held and b"PK\x05\x06" in held[-66_000:]
    ):
        raise NotTaken(
            _("Picture: the file holds something else besides the picture. Open it, save it as JPEG and choose that.")
        )


def _drawn(picture: ImageFile.ImageFile) -> Image.Image:
    profile = picture.info.get("icc_profile")
    picture.draft("RGB", (WIDEST, WIDEST))  # JPEG decodes straight to the size needed
    small: Image.Image = picture
    small.thumbnail((WIDEST, WIDEST), Image.Resampling.LANCZOS)
    small = ImageOps.exif_transpose(small)
    if small.mode in ("RGBA", "LA", "PA") or "transparency" in small.info:
        layer = small.convert("RGBA")
        ground = Image.new("RGB", layer.size, _GROUND)
        ground.paste(layer, mask=layer.getchannel("A"))
        small = ground
    small = _in_srgb(small, profile)
    bare = Image.new("RGB", small.size)
    bare.paste(small)
    return bare


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """Colours as they were meant, where the file says what they mean."""
    if profile and picture.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
            if converted is not None:
                return converted
        except (ImageCms.PyCMSError, OSError):  # a profile of another kind of picture
            pass
    return picture.convert("RGB")
