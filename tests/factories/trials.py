"""Brews that somebody made."""

import factory
from factory.django import DjangoModelFactory

from guides.lifecycle import snapshot
from guides.models import GuideVersion, TrialBrew

from .coffee import LotFactory
from .gear import BrewerFactory
from .people import UserFactory


class TrialBrewFactory(DjangoModelFactory):
    """``TrialBrewFactory(of=version)`` is brewed from a version, ``check=True`` makes it a check brew."""

    class Meta:
        model = TrialBrew

    class Params:
        of = None
        check = False

    lot = factory.Maybe(
        "of",
        factory.SubFactory(LotFactory, coffee=factory.SelfAttribute("..of.guide.coffee")),
        factory.SubFactory(LotFactory),
    )
    version = factory.SelfAttribute("of")
    is_check_brew = factory.SelfAttribute("check")
    brewed_by = factory.SubFactory(UserFactory, role="roaster")
    brewer = factory.Maybe("of", factory.SelfAttribute("of.brewer"), factory.SubFactory(BrewerFactory))
    dose_g = factory.Maybe("of", factory.SelfAttribute("of.dose_g"), "16.0")
    water_g = factory.Maybe("of", factory.SelfAttribute("of.water_g"), "264.0")
    kettle_c = factory.Maybe("of", factory.SelfAttribute("of.kettle_c"), "97.0")
    grind_um = factory.Maybe("of", factory.SelfAttribute("of.grind_um"), 660)


def missed_window(version: GuideVersion, by_s: int = 20, **also: object) -> TrialBrew:
    """Give a check brew of a published version that drained so long after the end of its window."""
    stored = GuideVersion.objects.get(pk=version.pk)
    window = snapshot.read(stored).assessment.drained
    return TrialBrewFactory(of=stored, check=True, drained_s=round(window.high) + by_s, **also)
