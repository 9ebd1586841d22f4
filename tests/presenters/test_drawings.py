"""Drawings are well-formed, say what they show, and show what the calculation says."""

import math
import re
from dataclasses import replace
from itertools import pairwise

import pytest

from guides.calculations.assess import assess
from guides.calculations.plan import Path
from guides.calculations.vessel import level_mm
from guides.presenters import drawings
from guides.presenters.contrast import ratio
from tests.calculations.demo_plans import BELL_JAR, DEMO, OUTER_MARK, ROPE_WALK_S, TIDEGATE_S, WINTER_KEEL, pour

from .drawn import LANGUAGES, SVG, all_drawings, assessed, points, read, words

FAINT = 0.75


def part(svg, name):
    return next(element for element in read(svg).iter() if element.get("data-part") == name)


def marked(svg, kind):
    return next(element for element in read(svg).iter() if element.get("class") == kind)


def section(svg):
    """Inside of the drawn vessel: its corners, and mm per unit found from the usable line alone."""
    inside = points(next(iter(read(svg).iter(f"{SVG}clipPath")))[0].get("d"))
    line_y = points(marked(svg, "usable").get("d").replace("H", ",0 "))[0][1]
    return inside, max(y for _, y in inside), line_y


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", DEMO)
def test_each_drawing_is_well_formed_titled_described_and_without_style(name, language):
    sizes = {}
    for uid, svg in all_drawings(name, language).items():
        root = read(svg)
        assert root.tag == f"{SVG}svg"
        assert root.get("role") == "img"
        named = [root.find(f".//*[@id='{each}']") for each in root.get("aria-labelledby").split()]
        assert [element.tag for element in named] == [f"{SVG}title", f"{SVG}desc"]
        assert all(element.text.strip() for element in named)
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))
        assert all(each.startswith(uid) for each in ids)
        assert not re.search(r"style=|<script|on\w+=|#[0-9a-f]{3,6}\b(?<!url)", re.sub(r"url\(#[^)]*\)", "", svg))
        sizes[uid.removeprefix(name.replace(" ", "-"))] = len(svg.encode())
    print(name, language, sizes)
    assert max(sizes.values()) < 5000


def test_ids_differ_between_drawings_of_a_page():
    together = "".join(all_drawings("rope walk S", "en").values())
    ids = re.findall(r' id="([^"]+)"', together)
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", DEMO)
@pytest.mark.parametrize("share", [0.1, 0.35, 0.6, 1.0])
def test_the_drawn_level_is_the_calculated_one(name, share):
    """The level read back from the drawing, on a scale found from the usable line."""
    plan, said = DEMO[name][0], assessed(name)
    point = said.course[int(share * (len(said.course) - 1))]
    svg = drawings.cone_drawing(plan, said, "en", at_s=point.time_s)
    _, outlet_y, line_y = section(svg)
    mm_per_unit = level_mm(plan.brewer.shape, plan.brewer.usable_ml) / (outlet_y - line_y)
    drawn = (outlet_y - float(part(svg, "water").get("y"))) * mm_per_unit
    assert drawn == pytest.approx(point.level_mm, abs=0.2)


def test_at_no_moment_it_shows_the_fullest():
    said = assessed("rope walk S")
    fullest = drawings.cone_drawing(ROPE_WALK_S, said, "en")
    at = drawings.cone_drawing(ROPE_WALK_S, said, "en", at_s=said.peak_at_s)
    assert part(fullest, "water").get("y") == part(at, "water").get("y")
    levels = [point.level_mm for point in said.course]
    later = drawings.cone_drawing(ROPE_WALK_S, said, "en", at_s=said.course[levels.index(min(levels))].time_s)
    assert float(part(later, "water").get("y")) > float(part(fullest, "water").get("y"))


def test_the_drawn_wall_has_the_brewers_angle_and_outlet():
    inside, outlet_y, line_y = section(drawings.cone_drawing(ROPE_WALK_S, assessed("rope walk S"), "en"))
    scale = (outlet_y - line_y) / level_mm(TIDEGATE_S.shape, 240)
    (x0, y0), (x1, y1) = inside[:2]
    assert math.degrees(math.atan((x1 - x0) / (y0 - y1))) == pytest.approx(30, abs=0.2)
    outlet = [x for x, y in inside if y == outlet_y]
    assert (max(outlet) - min(outlet)) / 2 / scale == pytest.approx(10, abs=0.2)


def test_the_valve_is_drawn_as_it_stands_and_a_jar_has_none():
    said = assessed("rope walk S")
    assert "valve shut" in words(drawings.cone_drawing(ROPE_WALK_S, said, "en", at_s=30))
    assert "valve open" in words(drawings.cone_drawing(ROPE_WALK_S, said, "en", at_s=80))
    jar = words(drawings.cone_drawing(WINTER_KEEL, assessed("winter keel"), "en"))
    assert not any("valve" in each or each == "paper" for each in jar)
    assert BELL_JAR.usable_ml == 900
    assert "usable line, 900 mL" in jar


@pytest.mark.parametrize("name", DEMO)
def test_following_the_brew_a_script_gets_what_a_single_drawing_shows(name):
    plan, said = DEMO[name][0], assessed(name)
    course = drawings.cone_course(plan, said, "en")
    for time_s, water_y, bed_y, runs in course.moments[:: len(course.moments) // 5]:
        svg = drawings.cone_drawing(plan, said, "en", at_s=time_s)
        assert float(part(svg, "water").get("y")) == water_y
        assert float(part(svg, "bed").get("y")) == bed_y
        assert runs or "valve open" not in words(svg)
    assert all(late[0] > early[0] for early, late in pairwise(course.moments))
    shown = {each.get("data-part"): each.get("display") for each in read(course.svg).iter() if each.get("data-part")}
    assert shown.keys() >= {"water", "bed"}
    if name == "rope walk S":
        assert shown["shut"] is None
        assert shown["open"] == "none"


def test_a_plan_that_cannot_be_simulated_has_no_side_view():
    plan = replace(ROPE_WALK_S, steps=(pour(0, 10, 60), pour(5, 20, 180)))
    said = assess(plan, *DEMO["rope walk S"][1:])
    assert said.course == ()
    assert drawings.cone_drawing(plan, said, "en") == ""
    assert drawings.temperature_drawing(plan, said, "en") == ""
    assert drawings.cone_course(plan, said, "en") is None


def test_the_path_of_each_pour_is_said_and_drawn():
    steps = tuple(pour(20 * n, 20 * n + 10, 40 * n + 40, path) for n, path in enumerate(Path))
    plan = replace(OUTER_MARK, steps=steps)
    times = assess(plan, *DEMO["outer mark"][1:]).step_times
    drawn = drawings.pour_path_drawings(plan, times, "en")
    assert len(drawn) == len(Path)
    assert len({marked(svg, "poured").get("d") or "dot" for svg in drawn}) == len(Path)
    said = [" ".join(words(svg)) for svg in drawn]
    assert said[0] == "0:00–0:10, to 40 g into the centre kettle low the rim stays dry"
    assert "inward" in said[list(Path).index(Path.SPIRAL_IN)]
    assert ["dry" in svg for svg in drawn] == [True, False, False, False]


def test_a_spiral_ends_where_its_name_says():
    ends = {}
    for path in (Path.SPIRAL_OUT, Path.SPIRAL_IN):
        plan = replace(OUTER_MARK, steps=(pour(0, 10, 48, path),))
        svg = drawings.pour_path_drawing(plan, 0, assessed("outer mark").step_times, "en")
        d = marked(svg, "poured").get("d")
        corners = re.findall(r"(?:M|\d 0 0 \d )([\d.]+) ([\d.]+)", d)
        ends[path] = [abs(float(x) - 66) for x, _ in (corners[0], corners[-1])]
    assert ends[Path.SPIRAL_OUT] == ends[Path.SPIRAL_IN][::-1]
    assert ends[Path.SPIRAL_OUT][0] < ends[Path.SPIRAL_OUT][1]


def test_the_hottest_moment_is_named():
    said = assessed("outer mark")
    hottest = max(said.course, key=lambda point: point.slurry_c)
    shown = words(drawings.temperature_drawing(OUTER_MARK, said, "fi"))
    minutes, seconds = divmod(round(hottest.time_s), 60)
    assert f"noin {round(hottest.slurry_c)} °C kohdassa {minutes}:{seconds:02d}" in shown


@pytest.mark.parametrize(("ink", "paper"), [("#1c2730", "#faf8f3"), ("#ece7dc", "#14191d"), ("#000000", "#ffffff")])
def test_faint_letters_can_be_read(ink, paper):
    """WCAG 2.2, 1.4.3: 4.5 : 1 for text."""
    mixed = "#" + "".join(
        f"{round(int(ink[i : i + 2], 16) * FAINT + int(paper[i : i + 2], 16) * (1 - FAINT)):02x}" for i in (1, 3, 5)
    )
    assert ratio(mixed, paper) >= 4.5
    opacities = {
        float(found)
        for svg in all_drawings("rope walk S", "en").values()
        for found in re.findall(r'<text[^>]*fill-opacity="([^"]+)"', svg)
    }
    assert min(opacities) >= FAINT


def test_nothing_in_the_plan_runs_off_before_the_valve_opens():
    """The thin line leaves the ground when the valve opens at 1:15, give or take the distance of two points."""
    svg = drawings.plan_drawing(ROPE_WALK_S, assessed("rope walk S"), "en")
    line = points(marked(svg, "drained").get("points"))
    hatched = marked(svg, "shut")
    opens_x = float(hatched.get("x")) + float(hatched.get("width"))
    floor = line[0][1]
    assert all(y == floor for x, y in line if x < opens_x - 8)
    assert line[-1][1] < floor
