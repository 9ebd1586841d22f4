"""Places away from the roastery, and who learns there."""

import factory
from factory.django import DjangoModelFactory

from guides.models import Guide, Site, Trainee

from .guides import published


class SiteFactory(DjangoModelFactory):
    """High up, with hard water."""

    class Meta:
        model = Site

    name = factory.Sequence(lambda n: f"Three Larches training room {n}")
    place = "Valdorra"
    altitude_m = 1480
    tap_hardness_mg_l = 210
    tap_alkalinity_mg_l = 190


class TraineeFactory(DjangoModelFactory):
    class Meta:
        model = Trainee

    site = factory.SubFactory(SiteFactory)
    name = factory.Sequence(lambda n: f"Trainee {n}")


def learning() -> tuple[Site, Guide, list[Trainee]]:
    """A site where a published guide is taught to two."""
    site, guide = SiteFactory(), published().guide
    site.guides.add(guide)
    return site, guide, TraineeFactory.create_batch(2, site=site)
