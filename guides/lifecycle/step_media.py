"""Pictures and clips of a version's steps, as its snapshot keeps them."""

from __future__ import annotations

from dataclasses import dataclass

from guides.models import GuideVersion, StepClip, StepPicture


@dataclass(frozen=True)
class PictureKept:
    """A stored picture: what leads its files' names, the hash of its largest JPEG, pixels, and words by language."""

    name: str
    sha256: str
    width: int
    height: int
    widths: tuple[int, ...]
    alt: dict[str, str]


@dataclass(frozen=True)
class ClipKept:
    """A stored clip: its file and the hash of it, the picture in its place, and caption files by language."""

    file: str
    sha256: str
    size: int
    seconds: float
    captions: dict[str, str]
    poster: PictureKept


@dataclass(frozen=True)
class StepMedia:
    """What one step shows; ``step`` is its place among the plan's steps, from 0."""

    step: int
    picture: PictureKept | None = None
    clip: ClipKept | None = None


def media_of(version: GuideVersion) -> tuple[StepMedia, ...]:
    """Give what the steps of a version show, in order; nothing for steps of words alone."""
    found = (
        StepMedia(index, _picture(getattr(step, "picture", None)), _clip(getattr(step, "clip", None)))
        for index, step in enumerate(version.steps.all())
    )
    return tuple(media for media in found if media.picture or media.clip)


def _picture(row: StepPicture | StepClip | None) -> PictureKept | None:
    if row is None:
        return None
    return PictureKept(row.name, row.sha256, row.width, row.height, tuple(row.widths), dict(row.alt))


def _clip(row: StepClip | None) -> ClipKept | None:
    poster = _picture(row)
    if row is None or poster is None:
        return None
    return ClipKept(row.file, row.file_sha256, row.size, float(row.seconds), dict(row.captions), poster)
