"""Coffees and their lots."""

import datetime

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from guides.models import Coffee, Lot


class CoffeeFactory(DjangoModelFactory):
    class Meta:
        model = Coffee

    name = factory.Sequence(lambda n: f"Outer Mark {n}")
    code = factory.Sequence(lambda n: f"OM{n}"[:6])
    slug = factory.Sequence(lambda n: f"outer-mark-{n}")
    origin = "Ethiopia"
    process = "washed"
    roast_level = "light"


class LotFactory(DjangoModelFactory):
    """A lot in its window, entered by hand and so without a code; ``lifecycle.lots.register`` gives one."""

    class Meta:
        model = Lot

    name = factory.Sequence(lambda n: f"OM-{n:03d}")
    coffee = factory.SubFactory(CoffeeFactory)
    roasted_on = factory.LazyFunction(lambda: timezone.localdate() - datetime.timedelta(days=14))
    green_kg = "12.00"
    loss_percent = "11.9"
    qc_kg = "0.30"
    gas = "rested"
