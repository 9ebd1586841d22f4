"""Making one coffee of two at the desk: all is said before, and one confirmation does it."""

from __future__ import annotations

import pytest
from django.test import Client

from guides.lifecycle import address
from guides.lifecycle.assign import assign
from guides.models import Coffee, User
from tests.factories import CoffeeFactory, GuideFactory, LotFactory, TrialBrewFactory, published

from .addresses import act, change

pytestmark = pytest.mark.django_db


def test_it_says_what_goes_along_and_what_stays_and_does_it(client: Client, publisher: User) -> None:
    client.force_login(publisher)
    coffee, other = CoffeeFactory(name="Rope Walk", slug="rope-walk"), CoffeeFactory(name="Rope Walk washed")
    lot = LotFactory(coffee=coffee, name="RW-101")
    address.issue(lot)
    version = published(guide=GuideFactory(coffee=coffee))
    assign(lot, version.guide, by=publisher)
    TrialBrewFactory(lot=lot)
    assert "Make this part of another coffee" in client.get(change(coffee)).content.decode()
    page = client.get(act(coffee, "merge")).content.decode()
    for line in (
        "1 lot goes over: RW-101.",
        f"1 guide goes over: {version.title}.",
        "With them go trial brews: 1.",
        "1 code stays as it is printed",
        "1 published revision stays word for word, with the name Rope Walk",
        "The page “rope-walk” leads on",
    ):
        assert line in page
    refused = client.post(act(coffee, "merge"), {"into": other.pk, "reason": ""})
    assert "This field is required" in refused.content.decode()
    done = client.post(act(coffee, "merge"), {"into": other.pk, "reason": "Entered twice."}, follow=True)
    assert "It is all Rope Walk washed now." in done.content.decode()
    assert done.redirect_chain[-1][0] == change(other)
    left = client.get(change(coffee)).content.decode()
    assert "What is left of it leads there" in left
    assert 'name="_save"' not in left
    assert client.get(act(coffee, "merge")).status_code == 302
    history = client.get(f"/admin/guides/coffee/{other.pk}/history/").content.decode()
    assert "made one coffee of two" in history
    assert "Entered twice." in history
    assert Coffee.objects.get(pk=coffee.pk).merged_into == other
    form = client.get("/admin/guides/lot/add/").content.decode()
    assert ">Rope Walk washed<" in form
    assert ">Rope Walk<" not in form


def test_the_coffee_of_a_coded_lot_stands_fixed(client: Client, publisher: User) -> None:
    client.force_login(publisher)
    coded, free = LotFactory(), LotFactory()
    address.issue(coded)
    assert 'name="coffee"' not in client.get(change(coded)).content.decode()
    assert 'name="coffee"' in client.get(change(free)).content.decode()
