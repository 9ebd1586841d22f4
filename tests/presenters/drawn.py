"""The drawings of the invented world's guides, and how to read them back."""

from __future__ import annotations

import re
from functools import cache
from xml.etree import ElementTree

from django.utils.translation import override

from guides.calculations.assess import assess
from guides.calculations.assessment import Assessment
from guides.presenters import drawings
from guides.presenters.drawings.crowd import Dot, Row
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


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own


def words(svg: str) -> list[str]:
    return [(text.text or "").replace("\N{NO-BREAK SPACE}", " ") for text in read(svg).iter(f"{SVG}text")]


def points(d: str) -> list[tuple[float, float]]:
    """Corners of a path of straight lines."""
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", d)]
