"""Brewers and grinders."""

import factory
from factory.django import DjangoModelFactory

from guides.models import Brewer, Grinder, GrinderPoint, Paper, ValveBase, Vessel


class PaperFactory(DjangoModelFactory):
    class Meta:
        model = Paper

    name = factory.Sequence(lambda n: f"Cone paper {n}")


class ValveBaseFactory(DjangoModelFactory):
    class Meta:
        model = ValveBase

    name = factory.Sequence(lambda n: f"Tidegate base {n}")


class VesselFactory(DjangoModelFactory):
    """A 60° cone."""

    class Meta:
        model = Vessel

    name = factory.Sequence(lambda n: f"Mast cone {n}")
    shape = "cone"
    half_angle_deg = "30.0"
    outlet_radius_mm = "10.0"
    usable_ml = 500
    heat_j_per_k = 60


class BrewerFactory(DjangoModelFactory):
    """An open cone with paper."""

    class Meta:
        model = Brewer

    name = factory.Sequence(lambda n: f"Mast {n}")
    slug = factory.Sequence(lambda n: f"mast-{n}")
    outflow = "open"
    vessel = factory.SubFactory(VesselFactory)
    paper = factory.SubFactory(PaperFactory)

    @classmethod
    def _create(cls, model_class: type[Brewer], *args: object, **kwargs: object) -> Brewer:
        brewer = super()._create(model_class, *args, **kwargs)
        if brewer.paper:
            brewer.vessel.fits_papers.add(brewer.paper)
        if brewer.valve_base:
            brewer.vessel.fits_bases.add(brewer.valve_base)
        return brewer


class ValveBrewerFactory(BrewerFactory):
    """The small cone on a valve base."""

    name = factory.Sequence(lambda n: f"Tidegate S {n}")
    slug = factory.Sequence(lambda n: f"tidegate-s-{n}")
    outflow = "valve"
    valve_base = factory.SubFactory(ValveBaseFactory)
    vessel = factory.SubFactory(VesselFactory, usable_ml=240, heat_j_per_k=35)


class JarBrewerFactory(BrewerFactory):
    """A straight-walled jar for full immersion, no paper."""

    name = factory.Sequence(lambda n: f"Bell jar {n}")
    slug = factory.Sequence(lambda n: f"bell-jar-{n}")
    outflow = "closed"
    paper = None
    vessel = factory.SubFactory(
        VesselFactory,
        shape="cylinder",
        half_angle_deg=None,
        outlet_radius_mm=None,
        radius_mm="45.0",
        usable_ml=900,
        heat_j_per_k=150,
    )


class GrinderFactory(DjangoModelFactory):
    """The Harrow of the demo world: four measured points."""

    class Meta:
        model = Grinder
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Harrow {n}")
    slug = factory.Sequence(lambda n: f"harrow-{n}")

    @factory.post_generation
    def points(self: Grinder, create: bool, given: dict[int, int] | None, **_kwargs: object) -> None:
        if create:
            measured = {3: 450, 5: 690, 7: 930, 9: 1190} if given is None else given
            for setting, median in measured.items():
                GrinderPoint.objects.create(grinder=self, setting=setting, median_um=median)
