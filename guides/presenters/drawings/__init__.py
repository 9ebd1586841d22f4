"""Drawings as SVG text, the same on page, form and paper: one file per drawing, one set of strokes (``canvas``).

They carry presentation attributes and classes only, because the site's policy forbids style attributes, and draw in
``currentColor`` so that they read on paper, on a dark screen and without any style sheet. Letters are SVG text in the
font of the page.
"""

from .cone import ConeCourse, cone_course, cone_drawing
from .crowd import crowd_drawing
from .cup import CupPoint, RatioLine, cup_drawing
from .learning import LotDrained, Trial, drift_drawing, windows_drawing
from .plan import plan_drawing
from .pour_path import pour_path_drawing, pour_path_drawings
from .temperature import temperature_drawing

__all__ = [
    "ConeCourse",
    "CupPoint",
    "LotDrained",
    "RatioLine",
    "Trial",
    "cone_course",
    "cone_drawing",
    "crowd_drawing",
    "cup_drawing",
    "drift_drawing",
    "plan_drawing",
    "pour_path_drawing",
    "pour_path_drawings",
    "temperature_drawing",
    "windows_drawing",
]
