"""The code of a pack leads to its coffee or bag, tells every way on, and never off this site.

Outside sources: GS1-Conformant Resolver Standard 1.2 (methods, CORS, 400 for syntax, link types, query passed on),
RFC 9264 (the JSON of a linkset: anchor, href, type, title, hreflang as a list).
"""

from __future__ import annotations

import os
import random
import re
from urllib.parse import quote, unquote_to_bytes, urlsplit

import pytest
from django.test import Client

from guides.lifecycle import recall, withdraw
from guides.presenters import linkset
from tests.codes.test_digital_link import any_path
from tests.factories import GuideFactory

from . import world

pytestmark = pytest.mark.django_db

GTIN = "09506000134352"  # of the range that GS1 uses in its own examples
VOC = "https://ref.gs1.org/voc/"
COUNT = 100_000 if os.environ.get("FULL_COUNTS") == "1" else 800


@pytest.fixture
def sold():
    world.roastery()
    lot, code = world.bag(coffee__gtin=GTIN)
    return lot, code, world.guide_for(lot)


def links(client, path: str) -> dict:
    answer = client.get(path, headers={"Accept": linkset.MEDIA_TYPE})
    assert answer.headers["Content-Type"].startswith("application/linkset+json")
    (context,) = answer.json()["linkset"]
    return context


def test_a_linkset_tells_every_way_on_from_a_lot(client, sold):
    lot, code, _version = sold
    path = f"/01/{GTIN}/10/{lot.name}"
    told = links(client, path)
    assert told["anchor"] == f"http://guides.test{path}"
    assert told["itemDescription"] == f"{lot.coffee.name}, lot {lot.name}"
    assert set(told) - {"anchor", "itemDescription"} == {
        VOC + name
        for name in ("defaultLink", "defaultLinkMulti", "pip", "instructions", "traceability", "recallStatus")
    }
    (default,) = told[VOC + "defaultLink"]
    assert default["href"] == f"http://guides.test/L/{code}"
    page, data = told[VOC + "recallStatus"][0], told[VOC + "recallStatus"][-1]
    assert (page["hreflang"], page["type"]) == (["en"], "text/html")
    assert data["type"] == "application/json"
    assert client.get(urlsplit(data["href"]).path).json()["name"] == lot.name
    assert [link["hreflang"] for link in told[VOC + "pip"]] == [["en"], ["sv"], ["fi"]]
    for targets in told.values():
        for target in targets if isinstance(targets, list) else ():
            address = urlsplit(target["href"])
            assert client.get(f"{address.path}?{address.query}").status_code == 200


def test_a_linkset_has_what_the_schema_of_gs1_asks_for(client, sold):
    """The schema with the id https://ref.gs1.org/standards/resolver/linkset-schema, written down anew."""
    lot, _code, _version = sold
    for path in (f"/01/{GTIN}", f"/01/{GTIN}/10/{lot.name}"):
        whole = client.get(f"{path}?linkType=linkset").json()
        assert set(whole) == {"linkset"}
        (context,) = whole["linkset"]
        assert re.match("https?://[A-Za-z0-9./]+", context.pop("anchor"))
        assert isinstance(context.pop("itemDescription"), str)
        for relation, targets in context.items():
            assert re.fullmatch("https?://[A-Za-z0-9./]+", relation)
            for target in targets:
                assert {"href", "title"} <= set(target) <= {"href", "title", "hreflang", "type"}
                assert re.match("https?://[A-Za-z0-9./]+", target["href"])
                assert all(re.fullmatch(r"\w{2}(-\w{2})?", language) for language in target.get("hreflang", ()))
                assert re.match(r"\w+/[-+.\w]+", target["type"])


def test_a_linkset_of_a_coffee_lists_its_guides(client, sold):
    lot, _code, version = sold
    other = world.published(guide=GuideFactory(coffee=lot.coffee), title="The other one")
    told = links(client, f"/01/{GTIN}")
    english = [link["title"] for link in told[VOC + "instructions"] if link["hreflang"] == ["en"]]
    assert english == [lot.coffee.name, version.title, other.title]
    assert client.get(f"/01/{GTIN}?linkType=linkset").json() == {"linkset": [told]}
    assert VOC + "recallStatus" not in told


@pytest.mark.parametrize(
    ("query", "language", "target"),
    [
        ("", "fi", "/L/{code}"),
        ("linkType=gs1:pip", "fi", "/fi/coffees/{coffee}/?linkType=gs1%3Apip"),
        (f"linkType={VOC}pip", "xx", f"/en/coffees/{{coffee}}/?linkType={quote(VOC, safe='')}pip"),
        ("linkType=gs1:instructions", "sv", "/L/{code}?in=sv&linkType=gs1%3Ainstructions"),
        ("linkType=gs1:recallStatus&in=fi", "sv", "/L/{code}?linkType=gs1%3ArecallStatus&in=fi"),
        ("linkType=gs1:defaultLink", "sv", "/L/{code}?linkType=gs1%3AdefaultLink"),
        ("dose=20&17=261231", "en", "/L/{code}?dose=20&17=261231"),
    ],
)  # fmt: skip
def test_a_wish_leads_to_its_link_with_the_query_passed_on(client, sold, query, language, target):
    lot, code, _version = sold
    answer = client.get(f"/01/{GTIN}/10/{lot.name.lower()}?{query}", headers={"Accept-Language": language})
    assert answer.status_code == 307
    assert answer.headers["Location"] == target.format(code=code, coffee=lot.coffee.slug)
    assert 'rel="linkset"' in answer.headers["Link"]
    assert {"Accept", "Accept-Language"} <= set(answer.headers["Vary"].split(", "))


@pytest.mark.parametrize("query", ["linkType=gs1:epil", "linkType=pip", "linkType=https://evil.example/pip"])
def test_a_link_type_that_is_not_there_is_not_found(client, sold, query):
    assert client.get(f"/01/{GTIN}?{query}").status_code == 404


def test_a_serial_number_and_a_variant_lead_where_the_pack_leads(client, sold):
    lot, code, _version = sold
    assert client.get(f"/01/{GTIN}/22/2A/10/{lot.name}/21/77").headers["Location"] == f"/L/{code}"
    assert client.get(f"/01/{GTIN}/21/77").headers["Location"] == f"/en/coffees/{lot.coffee.slug}/"


@pytest.mark.parametrize(
    "path",
    [
        "/01/", "/01", f"/01/{GTIN}/", f"/01/{GTIN[:-1]}3", f"/01/{GTIN}?10=OM-1", "/01/x/10/y",
        f"/01/{GTIN}%0A", f"/01/{GTIN}/10/OM%0A1", "/01/%0D%0A", "/01/%00", "/01//", "/01/%E2%80%A8",
    ],
)  # fmt: skip
def test_broken_syntax_is_a_bad_request(client, sold, path):
    answer = client.get(path)
    assert (answer.status_code, answer.headers["Access-Control-Allow-Origin"]) == (400, "*")


def test_unknown_and_hidden_answer_alike(client, sold):
    lot, _code, _version = sold
    hidden, _its_code = world.bag(coffee=lot.coffee, is_public=False)
    for query in ("", "?linkType=linkset", "?linkType=gs1:recallStatus"):
        answers = [client.get(f"/01/{GTIN}/10/{name}{query}") for name in ("NEVER-1", hidden.name)]
        assert [answer.status_code for answer in answers] == [404, 404]
        assert answers[0].content == answers[1].content
        assert dict(answers[0].headers) == dict(answers[1].headers)
    assert client.get("/01/04006381333931").content == answers[0].content


def test_a_recalled_lot_instructs_nobody_and_a_withdrawn_guide_neither(client, sold):
    lot, _code, version = sold
    recall.recall(lot, by=world.boss(), reason="A screw may be in it.")
    told = links(client, f"/01/{GTIN}/10/{lot.name}")
    assert VOC + "instructions" not in told
    assert VOC + "recallStatus" in told
    withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
    assert client.get(f"/01/{GTIN}").status_code == 404
    assert VOC + "pip" not in links(client, f"/01/{GTIN}/10/{lot.name}")


def test_methods_and_other_sites(client, sold):
    path = f"/01/{GTIN}"
    asked = client.options(path, headers={"Origin": "https://shop.example", "Access-Control-Request-Method": "GET"})
    assert (asked.status_code, asked.headers["Allow"]) == (204, "GET, HEAD, OPTIONS")
    for answer in (asked, client.get(path), client.head(path), client.get("/01/x")):
        assert answer.headers["Access-Control-Allow-Origin"] == "*"
        assert "Set-Cookie" not in answer.headers
    assert client.head(path).status_code == 307
    assert client.post(path).status_code == 405


def test_the_resolver_describes_itself(client, sold):
    """Members of the resolver description file: GS1-Conformant Resolver Standard 1.2, from memory."""
    told = client.get("/.well-known/gs1resolver").json()
    assert told["resolverRoot"] == "http://guides.test"
    assert told["supportedPrimaryKeys"] == ["01"]
    assert {"namespace": VOC, "prefix": "gs1:"} in told["supportedLinkType"]


HOSTILE = [
    "//evil.example", "/\\evil.example", "%2f%2fevil.example", "%5cevil.example", "\r\nLocation: https://evil.example",
    "%0d%0aLocation:%20https://evil.example", "https://evil.example", "user@evil.example", "..", "%2e%2e/", "%00", "%",
    "javascript:alert(1)", "?linkType=//evil.example", "?in=//evil.example", "?linkType=gs1:pip&in=%0d%0aX:1", "#@evil",
]  # fmt: skip


def any_address(rng: random.Random, known: list[str]) -> str:
    """A right path, a wrong one, or either with something hostile in it."""
    path = rng.choice(known) if rng.random() < 0.5 else any_path(rng)
    if rng.random() < 0.6:
        place = rng.randrange(len(path) + 1)
        path = path[:place] + rng.choice(HOSTILE) + path[place:]
    if rng.random() < 0.3:
        relation = rng.choice(["gs1:pip", "gs1:defaultLink", "linkset", "all", "gs1:x", "//evil.example", "%0d%0a"])
        path += f"?linkType={relation}&to=https%3A%2F%2Fevil.example"
    return path


def asked(client: Client, address: str):
    """Ask as a server hands an address on: the path decoded, and the whole as it was sent."""
    path, _mark, query = address.partition("?")
    return client.request(
        PATH_INFO=unquote_to_bytes(path.encode()).decode("latin-1"),
        QUERY_STRING=query.encode().decode("latin-1"),
        RAW_URI=quote(address, safe="/%?&=:;,+*()'!\"<>@#\\"),
    )


def test_nothing_leads_off_this_site_and_nothing_breaks(client, sold):
    lot, _code, _version = sold
    known = [f"/01/{GTIN}", f"/01/{GTIN}/10/{lot.name}", f"/01/{GTIN}/10/NEVER-1"]
    rng = random.Random(20261129)
    off, broken, led = [], [], 0
    client.raise_request_exception = False
    for _number in range(COUNT):
        address = any_address(rng, known)
        answer = asked(client, address)
        target = answer.headers.get("Location")
        if answer.status_code >= 500:
            broken.append(address)
        if target is not None:
            led += 1
            # What a browser takes for another site: a scheme, two slashes of either kind, or a control character.
            parts = urlsplit(target)
            if parts.netloc or parts.scheme or target[1:2] in ("/", "\\") or any(ord(sign) < 32 for sign in target):
                off.append((address, target))
    print(f"{COUNT} addresses, {led} led on, {len(off)} of them off this site, {len(broken)} server errors")
    assert off == []
    assert broken == []
    assert led > COUNT / 20


def test_control_a_resolver_that_echoes_is_caught(client, sold, monkeypatch):
    monkeypatch.setattr(linkset, "chosen", lambda links, relation, language: linkset.Link("", "//evil.example", ""))
    with pytest.raises(AssertionError):
        test_nothing_leads_off_this_site_and_nothing_breaks(client, sold)
