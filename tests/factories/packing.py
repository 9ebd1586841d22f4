"""Packing runs of bags whose guide is published."""

import factory
from factory.django import DjangoModelFactory

from guides.models import PackingRun

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


def ready_run() -> PackingRun:
    return PackingRunFactory(state="ready", file="runs/ab/abc.pdf")
