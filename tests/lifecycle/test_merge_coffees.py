"""One coffee is made of two: everything goes over, what is published stays, and nothing that was printed dies."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test import Client

from guides.choices import RunState
from guides.lifecycle.merge_coffees import merge
from guides.lifecycle.review import submit
from guides.lifecycle.verify import verify
from guides.models import Coffee, Event, Guide, GuideVersion, Lot, TrialBrew, User, triggers
from guides.models.base import FrozenRow
from guides.queries import merging
from tests.factories import (
    CoffeeFactory,
    GuideFactory,
    GuideVersionFactory,
    LotFactory,
    PackingRunFactory,
    TrialBrewFactory,
)
from tests.factories.tastings import opened
from tests.public import world

from .conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]

WHY = "Entered twice."


def pair() -> tuple[Lot, str, Lot]:
    """Two coffees, each with a coded lot and its guide; and the code of the first."""
    world.roastery()
    lot, code = world.bag(coffee__gtin="09506000134352", coffee__name="Rope Walk", coffee__slug="rope-walk")
    other, _code = world.bag(coffee__name="Rope Walk washed", coffee__slug="rope-walk-washed")
    world.guide_for(lot)
    world.guide_for(other)
    return lot, code, other


def test_everything_goes_over_and_what_is_published_stays(publisher: User) -> None:
    lot, _code, other = pair()
    version = world.assignment(lot).guide.versions.get()
    brew = TrialBrewFactory(lot=lot)
    said = merging.moving(lot.coffee)
    assert (said.lots, said.codes, said.published, said.trial_brews) == ((lot.name,), 1, 1, 1)
    was = GuideVersion.objects.filter(pk=version.pk).values().get()
    remains = merge(lot.coffee, other.coffee, by=publisher, reason=WHY)
    assert set(Lot.objects.values_list("coffee", flat=True)) == {remains.pk}
    assert set(Guide.objects.values_list("coffee", flat=True)) == {remains.pk}
    assert TrialBrew.objects.get(pk=brew.pk).lot.coffee == remains
    assert GuideVersion.objects.filter(pk=version.pk).values().get() == was
    assert verify(GuideVersion.objects.get(pk=version.pk)) == []
    assert remains.gtin == "09506000134352"
    left = Coffee.objects.get(slug="rope-walk")
    assert (left.merged_into, left.is_current, left.remaining) == (remains, False, remains)
    whole = Event.objects.get(verb="merged_coffees", lot=None)
    assert (whole.by, whole.reason, whole.details["lots"]) == (publisher, WHY, [lot.name])
    assert Event.objects.get(verb="merged_coffees", lot=lot).details["name"] == "Rope Walk"


def test_every_address_of_it_leads_to_the_one_that_remains(publisher: User, client: Client) -> None:
    lot, code, other = pair()
    key, gtin = lot.coffee.pk, lot.coffee.gtin
    remains = merge(lot.coffee, other.coffee, by=publisher, reason=WHY)
    again = merge(remains, CoffeeFactory(name="Rope Walk 2026", gtin="09506000134376"), by=publisher, reason=WHY)
    assert "Rope Walk 2026" in client.get(f"/L/{code}").content.decode()
    for slug in ("rope-walk", "rope-walk-washed"):
        assert client.get(f"/en/coffees/{slug}/").headers["Location"] == f"/en/coffees/{again.slug}/"
    for path in (f"/01/{gtin}/10/{lot.name}", f"/01/{again.gtin}/10/{lot.name}"):
        assert client.get(path).headers["Location"].startswith(f"/L/{code}")
    assert again.slug in client.get(f"/01/{gtin}", follow=True).content.decode()
    assert client.get(f"/api/v1/coffees/{key}").json()["id"] == again.pk
    assert [row["id"] for row in client.get(f"/api/v1/coffees?gtin={gtin}").json()["items"]] == [again.pk]
    assert len(client.get(f"/api/v1/lots?coffee={key}").json()["items"]) == 2
    assert "rope-walk" not in client.get("/sitemap.xml").content.decode().replace(again.slug, "")


def test_what_is_under_way_is_in_the_way(publisher: User) -> None:
    coffee, other = CoffeeFactory(name="Rope Walk"), CoffeeFactory()
    lot = LotFactory(coffee=coffee)
    draft = GuideVersionFactory(guide=GuideFactory(coffee=coffee))
    submit(draft, by=draft.created_by)
    PackingRunFactory(lot=lot, state=RunState.MAKING)
    opened(things=[lot, LotFactory()])
    for said in ("Reveal it first", "is in review", "is being made"):
        with refused(said):
            merge(coffee, other, by=publisher, reason=WHY)
    with refused("say why", field="reason"):
        merge(coffee, other, by=publisher, reason="")
    with refused("another coffee", field="into"):
        merge(coffee, coffee, by=publisher, reason=WHY)
    assert Lot.objects.get(pk=lot.pk).coffee == coffee
    merge(other, coffee, by=publisher, reason=WHY)  # nothing of this one is under way


def test_what_is_left_stays_as_it_is(publisher: User) -> None:
    coffee, other = CoffeeFactory(name="Rope Walk"), CoffeeFactory()
    merge(coffee, other, by=publisher, reason=WHY)
    left = Coffee.objects.get(pk=coffee.pk)
    with refused("is part of"):
        merge(left, other, by=publisher, reason=WHY)
    with refused("is part of", field="into"):
        merge(other, left, by=publisher, reason=WHY)
    left.name = "Another"
    with pytest.raises(FrozenRow, match="is part of"):
        left.save()
    with pytest.raises(ValidationError, match="Coffee"):
        LotFactory.build(coffee=left).full_clean()
    for change in ({"slug": "free-again"}, {"merged_into": None, "is_current": True}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Coffee.objects.filter(pk=left.pk).update(**change)
    with pytest.raises(IntegrityError), transaction.atomic():
        Coffee.objects.filter(pk=left.pk).delete()
    triggers.remove(connection)
    Coffee.objects.filter(pk=left.pk).update(slug="free-again")  # control: the guard is what refused it


def test_a_coded_lot_keeps_its_coffee_and_its_name() -> None:
    lot, _code = world.bag()
    for name, value, said in (("coffee", CoffeeFactory(), "Enter a new lot"), ("name", "XX-1", "stays")):
        changed = Lot.objects.get(pk=lot.pk)
        setattr(changed, name, value)
        with pytest.raises(ValidationError, match=said) as refusal:
            changed.full_clean()
        assert set(refusal.value.message_dict) == {name}
        with pytest.raises(FrozenRow, match=said):
            changed.save()
        with pytest.raises(IntegrityError), transaction.atomic():
            Lot.objects.filter(pk=lot.pk).update(**{name: value})
    free = LotFactory()
    free.coffee = CoffeeFactory()
    free.save()  # nothing leads to it yet
    triggers.remove(connection)
    Lot.objects.filter(pk=lot.pk).update(coffee=CoffeeFactory())  # control
