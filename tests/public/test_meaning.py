"""What pages mean to machines.

Outside checks: rdflib reads the JSON-LD and holds schema.org's vocabulary; which property belongs to which type is
written here from schema.org's pages of HowTo, HowToStep, HowToSupply, HowToTool, QuantitativeValue and Product.
"""

from __future__ import annotations

import html as html_
import json
import re

import pytest
from django.test import override_settings
from rdflib import Graph
from rdflib.namespace import SDO

from guides.lifecycle import withdraw
from guides.models import Guide
from guides.presenters import meaning
from tests.factories import GuideFactory, ValveVersionFactory

from . import world

pytestmark = pytest.mark.django_db
OF = {
    "HowTo": "@id url name description inLanguage totalTime supply tool step about publisher version datePublished",
    "HowToStep": "position name text url",
    "HowToSupply": "name requiredQuantity",
    "HowToTool": "name",
    "QuantitativeValue": "value minValue maxValue unitCode",
    "Product": "@id url name description brand gtin14 hasGS1DigitalLink productionDate",
    "Brand": "name",
    "Organization": "name",
}
YOUNGER_THAN_THE_LIBRARY = {"hasGS1DigitalLink"}  # https://schema.org/hasGS1DigitalLink
GTIN = "09506000134352"  # of the range that GS1 uses in its own examples
HOSTILE = "</script><script>alert(1)</script><!-- & \u2028 ]]>"


@pytest.fixture(autouse=True)
def house():
    return world.roastery()


def things(client, address: str) -> list[dict]:
    text = client.get(address, headers={"Accept-Language": "en"}).text
    (script,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', text, re.DOTALL)
    return json.loads(script)["@graph"]


def every(thing: object) -> list[dict]:
    """A thing and all things in it that have a type."""
    if isinstance(thing, list):
        return [found for part in thing for found in every(part)]
    if not isinstance(thing, dict):
        return []
    return ([thing] if "@type" in thing else []) + [found for part in thing.values() for found in every(part)]


def one(found: list[dict], kind: str) -> dict:
    (thing,) = (thing for thing in found if thing["@type"] == kind)
    return thing


def shut_first() -> Guide:
    return world.published(ValveVersionFactory(in_depth="Deep.", why="Because.")).guide


def test_a_guide_is_instructions_with_masses_times_tools_and_steps(client):
    guide = shut_first()
    page = f"http://guides.test/en/guides/{guide.slug}/"
    how = one(things(client, f"/en/guides/{guide.slug}/"), "HowTo")
    masses = {supply["name"]: supply["requiredQuantity"] for supply in how["supply"]}
    assert masses["Coffee"] == {"@type": "QuantitativeValue", "value": 15.0, "unitCode": "GRM"}
    assert masses["Water"]["value"] == 180.0
    assert masses["Water in the cup"] == {
        "@type": "QuantitativeValue",
        "minValue": 0.0,
        "maxValue": 60.0,
        "unitCode": "GRM",
    }
    assert [step["position"] for step in how["step"]] == [1, 2, 3, 4, 5, 6]
    assert [step["url"] for step in how["step"]] == [f"{page}#step-{number}" for number in range(1, 7)]
    text = client.get(page.removeprefix("http://guides.test")).text
    assert all(f'id="step-{number}"' in text for number in range(1, 7))
    assert guide.versions.get().brewer.name in [tool["name"] for tool in how["tool"]]
    assert re.fullmatch(r"PT(\d+M)?(\d+S)?", how["totalTime"])  # ISO 8601-1, 5.5.2
    minutes = int(re.search(r"(\d+)M", how["totalTime"])[1])
    assert 2 <= minutes <= 5  # pour-over takes 2:30 to 4:00: common practice, no source


@pytest.mark.parametrize(
    ("time_s", "said"), [(200, "PT3M20S"), (60, "PT1M"), (45, "PT45S"), (0, "PT0S"), (480, "PT8M")]
)
def test_durations(time_s, said):
    """ISO 8601-1:2019, 5.5.2.3: a number of each unit, those that are nothing left out."""
    assert meaning.duration(time_s) == said


def test_every_word_is_of_schema_org_and_stands_where_it_belongs(client):
    lot, code = world.bag()
    lot.coffee.gtin = GTIN
    lot.coffee.description = "Clear."
    lot.coffee.save()
    version = world.guide_for(lot)
    vocabulary = set(SDO.__annotations__) | YOUNGER_THAN_THE_LIBRARY
    for address in (f"/L/{code}", f"/en/guides/{version.guide.slug}/", f"/en/coffees/{lot.coffee.slug}/"):
        found = every(things(client, address))
        assert {thing["@type"] for thing in found} >= {"Product", "Brand"}
        for thing in found:
            used = set(thing) - {"@type"}
            assert used <= set(OF[thing["@type"]].split()), thing["@type"]
            assert {thing["@type"], *used} - {"@id"} <= vocabulary


# The library's own reader still uses what it warns of.
@pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated:DeprecationWarning")
def test_a_json_ld_reader_finds_what_we_mean(client):
    guide = shut_first()
    graph = Graph()
    local = {"@context": {"@vocab": "https://schema.org/"}, "@graph": things(client, f"/en/guides/{guide.slug}/")}
    graph.parse(data=json.dumps(local), format="json-ld")
    how = f"http://guides.test/en/guides/{guide.slug}/#guide"
    (title,) = graph.query(f"SELECT ?name WHERE {{ <{how}> <{SDO.name}> ?name }}")
    assert str(title[0]) == "Rope Walk in the Tidegate S"
    (coffee,) = graph.query(f"SELECT ?name WHERE {{ <{how}> <{SDO.about}> ?it . ?it <{SDO.name}> ?name }}")
    assert str(coffee[0]) == guide.coffee.name


def test_a_bag_is_its_coffee_of_that_day_with_its_digital_link(client):
    lot, code = world.bag()
    lot.coffee.gtin = GTIN
    lot.coffee.save()
    world.guide_for(lot)
    product = one(things(client, f"/L/{code}"), "Product")
    assert product["gtin14"] == GTIN
    assert product["productionDate"] == lot.roasted_on.isoformat()
    # GS1 Digital Link URI Syntax 1.6: the path is /01/<gtin14>/10/<lot>.
    assert product["hasGS1DigitalLink"] == f"http://guides.test/01/{GTIN}/10/{lot.name}"
    led = client.get(f"/01/{GTIN}/10/{lot.name}?in=sv")
    assert (led.status_code, led.headers["Location"]) == (307, f"/L/{code}?in=sv")
    general = one(things(client, f"/en/coffees/{lot.coffee.slug}/"), "Product")
    assert general["hasGS1DigitalLink"] == f"http://guides.test/01/{GTIN}"
    led = client.get(f"/01/{GTIN}", headers={"Accept-Language": "fi"})
    assert led.headers["Location"] == f"/fi/coffees/{lot.coffee.slug}/"


def test_a_coffee_without_a_gtin_claims_none(client):
    guide = shut_first()
    product = one(things(client, f"/en/guides/{guide.slug}/"), "Product")
    assert {"gtin14", "hasGS1DigitalLink"}.isdisjoint(product)


def test_a_pack_of_a_lot_that_is_not_public_answers_like_no_pack_at_all(client):
    lot, _code = world.bag(is_public=False)
    lot.coffee.gtin = GTIN
    lot.coffee.save()
    unknown, hidden = client.get(f"/01/{GTIN}/10/NEVER-1"), client.get(f"/01/{GTIN}/10/{lot.name}")
    assert (unknown.status_code, hidden.status_code) == (404, 404)
    assert unknown.content == hidden.content
    assert client.get(f"/01/{GTIN}").status_code == 404
    lot.is_public = True
    lot.save()
    assert client.get(f"/01/{GTIN}/10/{lot.name.lower()}").status_code == 307


def test_a_withdrawn_guide_instructs_nobody(client):
    version = world.coffee_with_guide()
    withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    assert [thing["@type"] for thing in things(client, f"/en/guides/{version.guide.slug}/")] == ["Product"]


def test_hostile_words_stay_words(client):
    guide = GuideFactory()
    guide.coffee.description = HOSTILE
    guide.coffee.save()
    world.published(guide=guide, title=HOSTILE, summary=HOSTILE)
    address = f"/en/guides/{guide.slug}/"
    text = client.get(address).text
    ours = ('<script type="application/ld+json">', '<script type="module" src="/static/')
    assert all(tag.startswith(ours) for tag in re.findall("<script[^>]*>", text))
    assert "<!--" not in text
    found = things(client, address)
    assert one(found, "HowTo")["name"] == HOSTILE
    assert one(found, "Product")["description"] == HOSTILE
    assert f'<meta property="og:title" content="{html_.escape(HOSTILE)}">' in text


def test_control_without_its_escapes_the_same_words_break_out(client, monkeypatch):
    monkeypatch.setattr(meaning, "_ESCAPES", {})
    guide = GuideFactory()
    world.published(guide=guide, title=HOSTILE)
    assert client.get(f"/en/guides/{guide.slug}/").text.count("<script") > 1


@override_settings(PUBLIC_BASE_URL="https://elsewhere.example")
def test_every_address_comes_from_the_one_setting(client):
    guide = shut_first()
    text = client.get(f"/sv/guides/{guide.slug}/").text
    assert f'<link rel="canonical" href="https://elsewhere.example/sv/guides/{guide.slug}/">' in text
    assert "guides.test" not in text
    assert "testserver" not in text
