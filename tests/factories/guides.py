"""Guides, their versions and what is in them."""

from typing import Any

import factory
from factory.django import DjangoModelFactory

from guides.lifecycle.publish import publish
from guides.lifecycle.review import submit
from guides.models import Guide, GuideVersion, Step

from .coffee import CoffeeFactory
from .gear import BrewerFactory, ValveBrewerFactory
from .people import UserFactory

# The pulses of the demo world's second guide: 16 g, 264 g, an open cone.
PULSES = (
    {"start_s": 0, "end_s": 10, "target_g": 48, "path": "spiral_out", "height": "low", "why": "Lets the gas out."},
    {"start_s": 45, "end_s": 60, "target_g": 120, "path": "spiral_in"},
    {"start_s": 75, "end_s": 90, "target_g": 192, "path": "spiral_in"},
    {"start_s": 105, "end_s": 120, "target_g": 264, "path": "spiral_in"},
    {"start_s": 125, "end_s": 125, "action": "swirl", "turns": 1},
)
# The first guide: shut at first, two pours, opened, a last pour, water to the cup at the end.
SHUT_FIRST = (
    {"start_s": 0, "end_s": 12, "target_g": 60, "path": "spiral_in"},
    {"start_s": 40, "end_s": 60, "target_g": 120, "path": "spiral_in"},
    {"start_s": 65, "end_s": 70, "action": "stir", "turns": 1},
    {"start_s": 75, "end_s": 75, "action": "open"},
    {"start_s": 85, "end_s": 105, "target_g": 180, "path": "centre"},
    {"start_s": 0, "end_s": 10, "action": "add_bypass", "target_g": 240, "anchor": "drained"},
)


class GuideFactory(DjangoModelFactory):
    class Meta:
        model = Guide

    number = factory.Sequence(lambda n: n + 1)
    slug = factory.Sequence(lambda n: f"outer-mark-in-pulses-{n}")
    coffee = factory.SubFactory(CoffeeFactory)


class GuideVersionFactory(DjangoModelFactory):
    """A draft that could be published. ``steps`` is a tuple of dicts; ``steps=()`` leaves it empty."""

    class Meta:
        model = GuideVersion
        skip_postgeneration_save = True

    guide = factory.SubFactory(GuideFactory)
    title = "Outer Mark in the Mast cone"
    summary = "Clear and floral."
    brewer = factory.SubFactory(BrewerFactory)
    dose_g = "16.0"
    water_g = "264.0"
    kettle_c = "97.0"
    grind_um = 660
    created_by = factory.SubFactory(UserFactory, role="roaster")

    @factory.post_generation
    def steps(self: GuideVersion, create: bool, given: tuple[dict[str, Any], ...] | None, **_kwargs: object) -> None:
        if create:
            add_steps(self, PULSES if given is None else given)


class ValveVersionFactory(GuideVersionFactory):
    title = "Rope Walk in the Tidegate S"
    brewer = factory.SubFactory(ValveBrewerFactory)
    dose_g = "15.0"
    water_g = "180.0"
    bypass_g = "60.0"
    bypass_to_taste = True
    kettle_c = "92.0"
    grind_um = 740
    valve_shut_at_start = True

    @factory.post_generation
    def steps(self: GuideVersion, create: bool, given: tuple[dict[str, Any], ...] | None, **_kwargs: object) -> None:
        if create:
            add_steps(self, SHUT_FIRST if given is None else given)


def add_steps(version: GuideVersion, steps: tuple[dict[str, Any], ...]) -> None:
    for position, step in enumerate(steps, start=1):
        Step.objects.create(version=version, position=position, **step)


def published(version: GuideVersion | None = None, **draft: Any) -> GuideVersion:
    """Take a draft, given or made, through review to publication the way people do, with a stated waiver."""
    version = version or GuideVersionFactory(**draft)
    submit(version, by=version.created_by)
    return publish(version, by=UserFactory(role="publisher"), waiver_reason="Brewed it at the bench this morning.")
