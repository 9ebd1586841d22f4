"""The drawings of the invented world's guides, and how to read them back."""

from __future__ import annotations

import re
from functools import cache
from xml.etree import ElementTree

from django.utils.translation import override

from guides.calculations.assess import assess
from guides.calculations.assessment import Assessment, Targets
from guides.calculations.cup_map import recipe_slope
from guides.calculations.mass_balance import Measured
from guides.calculations.validity import Window
from guides.presenters import drawings
from guides.presenters.drawings.crowd import Dot, Row
from guides.presenters.numbers import Figures
from tests.calculations.demo_plans import DEMO

CROWD = (
    Row("Thimble", tuple(Dot(time, True) for time in (168, 170, 171, 172, 190))),
    Row("A grinder with a very long name", (Dot(150, True), Dot(214, False))),
)
LANGUAGES = ("en", "sv", "fi")
SVG = "{http://www.w3.org/2000/svg}"


@cache
def assessed(name: str) -> Assessment:
    return assess(*DEMO[name])


def all_drawings(name: str, language: str) -> dict[str, str]:
    """Every drawing of a guide, by the id that leads its own."""
    plan, said, uid = DEMO[name][0], assessed(name), name.replace(" ", "-")
    course = drawings.cone_course(plan, said, language, uid=f"{uid}-follow")
    assert course is not None
    with override(language):
        crowd = drawings.crowd_drawing(CROWD, (165, 195), uid=f"{uid}-crowd")
    paths = drawings.pour_path_drawings(plan, said.step_times, language, uid=f"{uid}-path")
    return {
        f"{uid}-plan": drawings.plan_drawing(plan, said, language, uid=f"{uid}-plan"),
        f"{uid}-cone": drawings.cone_drawing(plan, said, language, uid=f"{uid}-cone"),
        f"{uid}-follow": course.svg,
        f"{uid}-crowd": crowd,
        f"{uid}-heat": drawings.temperature_drawing(plan, said, language, uid=f"{uid}-heat"),
        **{read(path)[0].get("id", "").removesuffix("-title"): path for path in paths},
    }


def bench_drawings(language: str) -> dict[str, str]:
    """What the dial-in bench draws, of few brews and of many."""
    figures = Figures(language)
    recipes = (240, 256, 272, 288, 304)
    lines = [drawings.RatioLine(figures.grams(water, 0), recipe_slope(water / 16, 2.1)) for water in recipes]
    cups = [
        drawings.CupPoint(mark, Measured(extraction, 0.005), strength)
        for mark, extraction, strength in (("A", 0.21, 0.0147), ("B", 0.185, 0.0128), ("C", 0.225, 0.0157))
    ]
    found = {"cup": drawings.cup_drawing(cups, lines, language, targets=Targets(0.0146, 0.0146, 0.21), uid="cup")}
    for count in (0, 1, 8, 200):
        windows = [Window(175 + 15 * n / (n + 2), 200, 230 - 15 * n / (n + 2), n) for n in range(count + 1)]
        brews = [drawings.Trial(190.0 + n % 25, n == 5, n == 6) for n in range(count)]
        found[f"windows-{count}"] = drawings.windows_drawing(windows, brews, language, uid=f"windows-{count}")
    for count in (2, 9):
        lots = [drawings.LotDrained(f"OM-{n:03}", 190 + n, 195 + n, 204 + n, 4) for n in range(count)]
        found[f"drift-{count}"] = drawings.drift_drawing(lots, language, uid=f"drift-{count}")
    return found


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own


def words(svg: str) -> list[str]:
    return [(text.text or "").replace("\N{NO-BREAK SPACE}", " ") for text in read(svg).iter(f"{SVG}text")]


def points(d: str) -> list[tuple[float, float]]:
    """Corners of a path of straight lines."""
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", d)]
