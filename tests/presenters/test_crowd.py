"""Customers' brews as a crowd: each dot where its time says, hollow where the brew was another."""

from __future__ import annotations

import pytest

from guides.models import HomeBrew
from guides.presenters import crowd, drawings
from guides.queries import crowd as stored
from tests.factories import GrinderFactory, published

from .drawn import CROWD, SVG, read, words

pytestmark = pytest.mark.django_db


def dots(svg):
    return list(read(svg).iter(f"{SVG}circle"))


def test_dots_lie_in_the_order_of_their_times_and_the_window_behind_them():
    svg = drawings.crowd_drawing(CROWD, (165, 195), uid="c")
    first_row = dots(svg)[:5]
    across = [float(dot.get("cx")) for dot in first_row]
    assert across == sorted(across)
    band = next(iter(read(svg).iter(f"{SVG}rect")))
    left, right = float(band.get("x")), float(band.get("x")) + float(band.get("width"))
    assert all(left <= x <= right for x in across)
    early, late = (float(dot.get("cx")) for dot in dots(svg)[5:])
    assert early < left
    assert late > right
    assert [dot.get("fill") for dot in dots(svg)] == ["currentColor"] * 6 + ["none"]
    assert "Thimble, 5" in words(svg)


def test_brews_are_gathered_by_grinder_and_say_nothing_of_people():
    version, grinder = published(), GrinderFactory(name="Thimble", slug="thimble")
    low, high = 165, 195
    for name, time, window in (("thimble", 170, True), ("thimble", 240, True), ("own", 180, False), ("", 190, True)):
        HomeBrew.objects.create(
            version=version, language="en", dose_g=16, grind_um=660, brewer="Cone", grinder=name, drained_s=time,
            text="A name that somebody typed", window_low_s=low if window else 100,
            window_high_s=high if window else 120,
        )  # fmt: skip
    HomeBrew.objects.create(version=version, language="en", dose_g=16, grind_um=660, brewer="Cone", text="No time.")
    ((found_version, brews),) = stored.by_version()
    found = crowd.of_version(found_version, brews, stored.grinder_names(), "en")
    assert [each.name for each in found.grinders] == [grinder.name, "a grinder of their own", "grinder not said"]
    thimble = found.grinders[0]
    assert (thimble.gathered.count, thimble.gathered.within, thimble.gathered.after, thimble.middle) == (
        2,
        1,
        1,
        "3:25",
    )
    assert found.grinders[1].gathered.after == 1
    assert "somebody" not in found.drawing
    assert len(dots(found.drawing)) == 4
