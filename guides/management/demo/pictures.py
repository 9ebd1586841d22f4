"""Pictures of the demo's coffees: drawn here in paper, ink and accent, after what each is named for."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from PIL import Image, ImageDraw

from guides.media.keep import keep_drawn
from guides.models import Coffee, CoffeePicture

_WIDE, _HIGH, _FINE = 1200, 800, 2  # drawn twice as large, for smooth edges
_PAPER, _LEAF, _INK, _MUTED, _ACCENT = "#faf8f3", "#e6dfd0", "#1c2730", "#8b949b", "#8a3b12"
_SEA = 560

Pen = ImageDraw.ImageDraw
Alt = dict[str, str]


def draw(coffees: Mapping[str, Coffee]) -> None:
    """Give every coffee of the demo its picture."""
    for code, (motif, alt) in _MOTIFS.items():
        kept = keep_drawn(_picture(motif))
        CoffeePicture.objects.create(
            coffee=coffees[code],
            name=kept.name,
            sha256=kept.sha256,
            width=kept.width,
            height=kept.height,
            widths=list(kept.widths),
            alt=alt,
        )


def _picture(motif: Callable[[Pen], None]) -> Image.Image:
    sheet = Image.new("RGB", (_WIDE * _FINE, _HIGH * _FINE), _PAPER)
    pen = ImageDraw.Draw(sheet)
    motif(pen)
    return sheet.resize((_WIDE, _HIGH), Image.Resampling.LANCZOS)


def _at(*points: tuple[float, float]) -> list[tuple[float, float]]:
    return [(x * _FINE, y * _FINE) for x, y in points]


def _line(pen: Pen, *points: tuple[float, float], fill: str = _INK, width: int = 5) -> None:
    pen.line(_at(*points), fill=fill, width=width * _FINE, joint="curve")


def _shape(pen: Pen, *points: tuple[float, float], fill: str) -> None:
    pen.polygon(_at(*points), fill=fill)


def _waves(pen: Pen, top: int = _SEA, rows: int = 6) -> None:
    """The sea as lines that lie further apart the nearer they are."""
    for row in range(rows):
        y = top + 12 * row + 5 * row * row
        points = [(x, y + (2 + row) * math.sin(x / (30 + 9 * row) + row * 1.7)) for x in range(-10, _WIDE + 11, 6)]
        _line(pen, *points, fill=_INK if row == 0 else _MUTED, width=4 if row == 0 else 3)


def _outer_mark(pen: Pen) -> None:
    """A sea mark on its rock: a staff, two cones, a cage."""
    pen.ellipse(_at((820, 120), (980, 280)), fill=_LEAF)
    _shape(pen, (430, _SEA + 6), (500, 500), (590, 470), (690, 505), (770, _SEA + 6), fill=_INK)
    _line(pen, (600, 475), (600, 140), width=9)
    _line(pen, (545, 478), (600, 330), (655, 478), width=5)
    _shape(pen, (600, 150), (555, 228), (645, 228), fill=_ACCENT)
    _shape(pen, (600, 318), (555, 240), (645, 240), fill=_ACCENT)
    _waves(pen)


def _rope_walk(pen: Pen) -> None:
    """Rope laid out in a coil, its strands across it."""
    turns, steps = 5.25, 720
    coil = [
        (600 + (70 + 44 * a / math.tau) * math.cos(a), 400 + (70 + 44 * a / math.tau) * 0.94 * math.sin(a))
        for a in (turns * math.tau * n / steps for n in range(steps + 1))
    ]
    rope = [*coil, *((coil[-1][0] - 12 * n, coil[-1][1] + 0.1 * n * n) for n in range(1, 60))]
    _line(pen, *rope, width=34)
    _line(pen, *rope, fill=_LEAF, width=26)
    for index in range(4, len(rope) - 2, 5):
        (x, y), (u, v) = rope[index], rope[index + 1]
        long = math.hypot(u - x, v - y) or 1
        along, across = ((u - x) / long, (v - y) / long), (-(v - y) / long, (u - x) / long)
        leans = [13 * across[axis] + 8 * along[axis] for axis in (0, 1)]
        ends = [(x + side * leans[0], y + side * leans[1]) for side in (-1, 1)]
        _line(pen, *ends, fill=_ACCENT, width=3)


def _winter_keel(pen: Pen) -> None:
    """A hull on the slip, seen from ahead, under snow."""
    for index in range(60):
        x, y = int(index * 0.618034 * _WIDE) % _WIDE, int(index * index * 37.7) % 520
        pen.ellipse(_at((x, y), (x + 5, y + 5)), fill=_MUTED)
    side = [(600 + 250 * math.sin(t), 560 - 330 * (1 - math.cos(t)) ** 0.8) for t in (n * 1.5 / 40 for n in range(41))]
    mirrored = [(1200 - x, y) for x, y in reversed(side)]
    _shape(pen, *side, *mirrored, fill=_INK)
    for share in (0.28, 0.5, 0.72):
        _line(pen, *[(600 + (x - 600) * share, y) for x, y in side], fill=_LEAF, width=3)
        _line(pen, *[(600 - (x - 600) * share, y) for x, y in side], fill=_LEAF, width=3)
    _shape(pen, (588, 540), (612, 540), (612, 640), (588, 640), fill=_ACCENT)
    for x in (380, 820):
        _line(pen, (x, 640), (x + (600 - x) * 0.42, 470), width=7)
    _line(pen, (120, 640), (1080, 640), width=6)
    _line(pen, (200, 668), (1000, 668), fill=_MUTED, width=3)


def _kelp_light(pen: Pen) -> None:
    """A light over the water, and kelp standing under it."""
    _shape(pen, (610, 205), (1180, 90), (1180, 300), fill=_LEAF)
    _shape(pen, (560, _SEA - 180), (572, 240), (628, 240), (640, _SEA - 180), fill=_INK)
    _shape(pen, (566, 330), (634, 330), (637, 360), (563, 360), fill=_PAPER)
    _shape(pen, (575, 232), (575, 188), (625, 188), (625, 232), fill=_ACCENT)
    _shape(pen, (565, 188), (600, 160), (635, 188), fill=_INK)
    _waves(pen, top=_SEA - 170, rows=2)
    for index, foot in enumerate(range(130, 1120, 110)):
        tall = 190 + 60 * math.sin(index * 2.1)
        stem = [(foot + 26 * math.sin(n / 9 + index), 790 - tall * n / 40) for n in range(41)]
        _line(pen, *stem, width=5)
        for n in range(6, 40, 6):
            x, y = stem[n]
            way = 1 if (n // 6) % 2 else -1
            _shape(pen, (x, y), (x + way * 26, y - 26), (x + way * 46, y - 12), (x + way * 24, y - 4), fill=_ACCENT)


_MOTIFS: dict[str, tuple[Callable[[Pen], None], Alt]] = {
    "OM": (
        _outer_mark,
        {
            "en": "Drawing: a sea mark with two cones on a rock in the sea.",
            "sv": "Teckning: ett sjömärke med två koner på ett skär i havet.",
            "fi": "Piirros: merimerkki, jossa on kaksi kartiota, kalliolla meressä.",
        },
    ),
    "RW": (
        _rope_walk,
        {
            "en": "Drawing: a rope laid out in a coil.",
            "sv": "Teckning: ett rep lagt i slingor.",
            "fi": "Piirros: kiepille laskettu köysi.",
        },
    ),
    "WK": (
        _winter_keel,
        {
            "en": "Drawing: a boat on the slip in snow, seen from ahead.",
            "sv": "Teckning: en båt på slipen i snö, sedd framifrån.",
            "fi": "Piirros: vene telakalla lumisateessa, edestä nähtynä.",
        },
    ),
    "KL": (
        _kelp_light,
        {
            "en": "Drawing: a light over the water, kelp below.",
            "sv": "Teckning: en fyr över vattnet, tång under ytan.",
            "fi": "Piirros: majakka veden yllä, rakkolevää pinnan alla.",
        },
    ),
}
