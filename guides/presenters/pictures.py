"""Pictures and clips as a page shows them: addresses, sizes, and words in the reader's language."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import get_language_info

from guides.lifecycle.step_media import ClipKept, PictureKept
from guides.models.kept_picture import KeptPicture, picture_name


@dataclass(frozen=True)
class Picture:
    """``src`` is the JPEG for everybody, ``webp`` and ``jpeg`` are lists of editions with their widths.

    ``alt_language`` is the language of ``alt`` where it is not the page's.
    """

    src: str
    webp: str
    jpeg: str
    width: int
    height: int
    alt: str
    alt_language: str = ""


@dataclass(frozen=True)
class Captions:
    src: str
    language: str
    name: str
    is_default: bool


@dataclass(frozen=True)
class Clip:
    """A clip that is fetched when it is tapped; ``poster`` stands in its place until then, and names it."""

    src: str
    mime: str
    seconds: int
    poster: Picture
    captions: tuple[Captions, ...]


def of_row(row: KeptPicture | None, language: str) -> Picture | None:
    """Give a stored picture in a language, or in one that its words are in."""
    if row is None:
        return None
    return _picture(row.name, row.width, row.height, row.widths, row.alt, language, language)


def of_kept(kept: PictureKept | None, language: str, written_in: str) -> Picture | None:
    """Give a picture of a snapshot."""
    if kept is None:
        return None
    return _picture(kept.name, kept.width, kept.height, kept.widths, kept.alt, language, written_in)


def clip_of(kept: ClipKept | None, language: str, written_in: str) -> Clip | None:
    """Give a clip of a snapshot, its captions in the reader's language first."""
    poster = of_kept(kept.poster, language, written_in) if kept else None
    if kept is None or poster is None:
        return None
    first = language if language in kept.captions else written_in
    return Clip(
        src=_address(kept.file),
        mime="video/mp4" if kept.file.endswith(".mp4") else "video/webm",
        seconds=max(1, round(kept.seconds)),
        poster=poster,
        captions=tuple(
            Captions(_address(file), code, get_language_info(code)["name_local"], code == first)
            for code, file in sorted(kept.captions.items(), key=lambda each: each[0] != first)
        ),
    )


def _picture(
    name: str,
    width: int,
    height: int,
    widths: Sequence[int],
    alt: Mapping[str, str],
    language: str,
    written_in: str,
) -> Picture:
    said = language if alt.get(language) else written_in if alt.get(written_in) else next(iter(alt), language)
    return Picture(
        src=_address(picture_name(name, _middle(widths), "jpg")),
        webp=_editions(name, widths, "webp"),
        jpeg=_editions(name, widths, "jpg"),
        width=width,
        height=height,
        alt=alt.get(said, ""),
        alt_language="" if said == language else said,
    )


def _middle(widths: Sequence[int]) -> int:
    """The edition for readers that know nothing of widths."""
    return max((width for width in widths if width <= 960), default=widths[0])


def _editions(name: str, widths: Sequence[int], form: str) -> str:
    return ", ".join(f"{_address(picture_name(name, width, form))} {width}w" for width in widths)


def _address(file: str) -> str:
    return reverse("media", args=[file])
