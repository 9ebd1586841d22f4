"""Numbers typed into words again: found where they repeat the plan, left where they are a name."""

from __future__ import annotations

import pytest

from guides.lifecycle import retyped
from tests.factories import CoffeeFactory, GuideFactory, GuideVersionFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("title", "said"),
    [
        ("Harbour 120", False),  # what the coffee is called, though the scale shows 120 too
        ("Harbour 120, up to 120", True),
        ("Pour to 120", True),
        ("At 0:45 again", True),
        ("For 3 people", False),
    ],
)
def test_a_name_with_a_number_is_no_number_of_the_plan(title: str, said: bool) -> None:
    guide = GuideFactory(coffee=CoffeeFactory(name="Harbour 120"))
    version = GuideVersionFactory(guide=guide, title=title)
    assert bool(retyped.refusals(version)) is said
