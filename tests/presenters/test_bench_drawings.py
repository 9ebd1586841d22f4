"""The drawings of the bench, read back."""

from __future__ import annotations

import pytest

from guides.calculations.cup_map import recipe_slope
from guides.presenters import drawings
from tests.presenters.drawn import LANGUAGES, SVG, bench_drawings, read, words


@pytest.mark.parametrize("language", LANGUAGES)
def test_titled_described_and_without_style(language: str) -> None:
    for uid, svg in bench_drawings(language).items():
        root = read(svg)
        assert root.get("aria-labelledby") == f"{uid}-title {uid}-desc"
        assert all(root.find(f"{SVG}{part}").text for part in ("title", "desc"))  # type: ignore[union-attr]
        assert "style=" not in svg


def test_the_map_names_its_lines_by_all_water_and_its_outlines() -> None:
    found = words(bench_drawings("en")["cup"])
    assert {"256 g", "288 g", "published band", "meant", "A", "B", "C"} <= set(found)


def test_a_cup_lies_on_the_line_of_its_recipe() -> None:
    """16 g and 264 g of water that keep 2.1 g/g: 21 % is 1.458 %, on the line of 264 g; arithmetic."""
    assert recipe_slope(264 / 16, 2.1) * 0.21 == pytest.approx(0.21 * 16 / 230.4)


def test_brews_set_aside_are_crosses_and_far_ones_have_rings() -> None:
    root = read(bench_drawings("en")["windows-8"])
    circles = root.findall(f"{SVG}circle")
    assert len([circle for circle in circles if circle.get("r") == "3.5"]) == 7
    assert len([circle for circle in circles if circle.get("r") == "8"]) == 1
    assert "Without trials 2:55–3:50; after 8" in str(root.find(f"{SVG}desc").text)  # type: ignore[union-attr]


def test_nothing_to_draw_is_not_drawn() -> None:
    assert drawings.cup_drawing([], [], "en") == ""
    assert drawings.drift_drawing([drawings.LotDrained("OM-071", 190, 195, 200, 3)], "en") == ""
