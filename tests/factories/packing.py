"""Packing runs of bags whose guide is published."""

import factory
from factory.django import DjangoModelFactory

from guides.models import LabelStock, PackingRun, PrintFormat

from .packed import packed
from .people import UserFactory


class PackingRunFactory(DjangoModelFactory):
    """A run that is being made; ``ready_run`` gives one that was released."""

    class Meta:
        model = PackingRun
        exclude = ["bag"]

    bag = factory.LazyFunction(packed)
    lot = factory.LazyAttribute(lambda run: run.bag[0])
    version = factory.LazyAttribute(lambda run: run.bag[1])
    language = "en"
    paper = "insert-a6"
    sheet = "a4"
    copies = 45
    ordered_by = factory.SubFactory(UserFactory, role="packer")


class PrintFormatFactory(DjangoModelFactory):
    """A card somewhat larger than A7, with a coloured edge."""

    class Meta:
        model = PrintFormat

    name = factory.Sequence(lambda number: f"Tall card {number}")
    layout = "card-a7"
    width_mm = "80"
    height_mm = "120"
    margin_mm = "5"
    symbol_mm = "24"
    bleed_mm = "3"


class LabelStockFactory(DjangoModelFactory):
    """Stickers with gaps between them: 3 across and 8 down."""

    class Meta:
        model = LabelStock

    name = factory.Sequence(lambda number: f"24 labels {number}")
    sheet = "a4"
    width_mm = "50"
    height_mm = "30"
    columns = 3
    rows = 8
    left_mm = "20"
    top_mm = "15"
    gutter_x_mm = "10"
    gutter_y_mm = "3"


def ready_run(**other: object) -> PackingRun:
    return PackingRunFactory(state="ready", file="runs/ab/abc.pdf", **other)
