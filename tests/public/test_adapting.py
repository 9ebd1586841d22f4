"""A guide as a reader asks for it, by its address: shared, bookmarked, never a broken page."""

from __future__ import annotations

import gzip
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from guides.lifecycle import withdraw
from guides.presenters.adapt_request import NAMES
from tests.factories import BrewerFactory, GrinderFactory, ValveVersionFactory

from . import world

pytestmark = pytest.mark.django_db
FIRST_FLIGHT = 14 * 1024


@pytest.fixture(autouse=True)
def house():
    return world.roastery(tap_alkalinity_mg_l=30)


@pytest.fixture
def guide():
    """The address of a guide."""
    return f"/en/guides/{world.coffee_with_guide().guide.slug}/"


@pytest.fixture
def bag():
    """The address of a bag with one guide."""
    lot, code = world.bag()
    world.guide_for(lot)
    return f"/L/{code}"


def test_two_cups_are_a_plain_link_on_the_guide(client, guide, bag):
    for address in (guide, bag):
        text = client.get(address).text
        (href,) = re.findall(r'href="(\?[^"]*)"[^>]*><b>Two cups', text)
        twice = client.get(address + href)
        assert twice.status_code == 200
        assert "528" in twice.text
        assert re.search(r"was 264\sg", twice.text)


def test_an_adapted_page_has_one_short_address(client, guide):
    filled = dict.fromkeys(NAMES, "") | {"dose": "22,0", "mass": "g", "utm_source": "x"}
    response = client.get(guide, filled)
    assert (response.status_code, response.headers["Location"]) == (302, guide + "?dose=22")
    assert client.get(guide, {"dose": ""}).headers["Location"] == guide
    assert client.get(guide + "?dose=22").status_code == 200


def test_a_bag_keeps_its_language_on_the_way(client, bag):
    response = client.get(bag, {"dose": "22,0", "in": "fi"})
    assert response.headers["Location"] == bag + "?dose=22&in=fi"
    page = client.get(bag, {"dose": "22", "in": "fi"})
    assert page.headers["Content-Language"] == "fi"
    assert f'href="{bag}?in=sv&amp;dose=22"' in page.text
    assert '?size=2&amp;in=fi"' in page.text


def test_the_other_languages_keep_what_was_asked(client, guide):
    text = client.get(guide + "?dose=22").text
    assert f'href="{guide.replace("/en/", "/sv/")}?dose=22"' in text


def test_search_engines_know_one_address(client, guide, settings):
    asked, plain = client.get(guide + "?size=2"), client.get(guide)
    assert asked.headers["X-Robots-Tag"] == "noindex"
    assert f'<link rel="canonical" href="{settings.PUBLIC_BASE_URL}{guide}">' in asked.text
    assert "application/ld+json" in plain.text
    assert "application/ld+json" not in asked.text
    assert "X-Robots-Tag" not in plain.headers
    assert asked.headers["Cache-Control"] == plain.headers["Cache-Control"]
    again = client.get(guide + "?size=2", headers={"If-None-Match": asked.headers["ETag"]})
    assert again.status_code == 304


def test_an_adapted_page_sets_no_cookie(client, guide):
    for query in ("?size=2", "?form=1", "?dose=x"):
        assert not client.get(guide + query).cookies


def test_pages_with_a_wish_fit_the_first_flight(client):
    GrinderFactory(slug="harrow")
    BrewerFactory(slug="little", vessel__usable_ml=200)
    guide = f"/fi/guides/{world.published(ValveVersionFactory(), in_depth='A text.').guide.slug}/"
    worst = "?size=2&grinder=harrow&altitude=2000&alkalinity=190&mass=oz&temp=f"
    for query in ("", "?form=1", worst, "?dose=x&bag=y"):
        size = len(gzip.compress(client.get(guide + query).content, 6))
        print(f"{size:6d} bytes  {query}")
        assert size <= FIRST_FLIGHT


def test_what_is_wrong_is_said_beside_the_field_and_nothing_is_lost(client, guide):
    response = client.get(guide, {"dose": "eighteen", "altitude": "1480", "brewer": "gone"})
    assert response.status_code == 400
    assert 'value="eighteen"' in response.text
    assert 'value="1480"' in response.text
    assert re.search(r'id="y-dose-wrong"[^>]*>This is no number', response.text)
    assert 'aria-describedby="y-dose-wrong"' in response.text
    assert response.headers["Cache-Control"] == "no-cache"


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("dose=3000", "1\N{NO-BREAK SPACE}g to 300\N{NO-BREAK SPACE}g"),
        ("altitude=99000&alt=ft", "-1,640\N{NO-BREAK SPACE}ft to 19,685\N{NO-BREAK SPACE}ft"),  # 1 ft is 0.3048 m
        ("altitude=9000", "-500\N{NO-BREAK SPACE}m to 6,000\N{NO-BREAK SPACE}m"),
        ("dose=nan", "no number"),
        ("dose=-4", "1\N{NO-BREAK SPACE}g to 300"),
        ("size=2&dose=18", "Two sizes"),
        ("brewer=nowhere", "not among the choices"),
        ("dose=200&mass=oz", "10.58\N{NO-BREAK SPACE}oz"),
    ],
)
def test_a_refused_number_comes_with_its_limits(client, guide, query, said):
    response = client.get(f"{guide}?{query}")
    assert response.status_code == 400
    assert said in response.text


def test_the_form_comes_filled_with_what_the_address_says(client, guide):
    text = client.get(guide + "?form=1&dose=22&altitude=1480&mass=oz&temp=f").text
    assert 'name="altitude" value="1480"' in text
    assert '<option value="oz" selected>' in text
    assert "or my dose, oz" in text
    assert "Kept" not in text


def test_a_withdrawn_guide_is_nobodys_own(client):
    version = world.coffee_with_guide()
    withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    response = client.get(f"/en/guides/{version.guide.slug}/?size=2")
    assert response.status_code == 200
    assert 'id="yours"' not in response.text


def test_typed_words_cannot_bring_markup(client, guide):
    hostile = '"><script>alert(1)</script>'
    for name in NAMES:
        text = client.get(guide, {name: hostile}).text
        assert "<script>alert" not in text, name


VALUES = st.one_of(
    st.text(max_size=40),
    st.decimals(min_value=-10_000, max_value=10_000, places=2, allow_nan=False).map(str),
    st.sampled_from(["1", "2", "full", "own", "harrow", "oz", "f", "us", "closed", "valve", "straight", "glass"]),
    st.sampled_from(["14:480 20:690 26:900", "9:100 8:2000 7:3000", "2:50 3:05", "0 0", "99:59 1"]),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(address=st.dictionaries(st.sampled_from([*NAMES, "form", "in"]), VALUES, max_size=6))
def test_whatever_is_asked_is_answered(client, guide, address):
    GrinderFactory._meta.model.objects.filter(slug="harrow").exists() or GrinderFactory(slug="harrow")
    response = client.get(guide, address, follow=True)
    assert response.status_code in (200, 400), (address, response.status_code)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    size=st.sampled_from([{"size": "1"}, {"size": "2"}, {"size": "full"}, {"dose": "11,3"}, {"bag": "71"}, {}]),
    place=st.sampled_from([{}, {"altitude": "2600"}, {"boils": "91"}]),
    brewer=st.sampled_from([{}, {"holds": "150"}, {"height": "60"}, {"brewer": "own", "holds": "800", "way": "valve"}]),
    units=st.sampled_from([{}, {"mass": "oz"}]),
)
def test_an_address_leads_to_itself(client, guide, size, place, brewer, units):
    first = client.get(guide, size | place | brewer | units, follow=True)
    where = first.redirect_chain[-1][0] if first.redirect_chain else None
    if where:
        assert client.get(where).status_code == first.status_code == 200
