"""How the API answers: conditions, refusals, other sites, and what it never does.

Outside sources: RFC 9110 (conditional requests, methods), RFC 9457 (problem details), the Fetch standard (CORS).
"""

from __future__ import annotations

import pytest

from guides.api import cursors, views
from guides.models import Coffee

from .conftest import API, Sold

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("method", "address", "headers", "status"),
    [
        ("get", "/nowhere", {}, 404),
        ("get", "/guides/%0A/sheet", {}, 404),
        ("get", "/%0D%0A", {}, 404),
        ("get", "/coffees/", {}, 404),
        ("post", "/nowhere", {}, 404),
        ("get", "/guides/65000", {}, 404),
        ("post", "/coffees", {}, 405),
        ("delete", "/guides/1", {}, 405),
        ("get", "/coffees", {"Accept": "text/html"}, 406),
        ("get", "/coffees", {"Accept": "application/xml"}, 406),
        ("get", "/coffees?limit=0", {}, 400),
        ("get", "/coffees?limit=101", {}, 400),
        ("get", "/coffees?limit=²", {}, 400),
        ("get", "/coffees?cursor=41", {}, 400),
        ("get", "/coffees?language=xx", {}, 400),
        ("get", "/coffees?gtin=09506000134353", {}, 400),
        ("get", "/coffees?on_sale=yes", {}, 400),
        ("get", "/coffees?colour=red", {}, 400),
        ("get", "/coffees?limit=1&limit=2", {}, 400),
    ],
)
def test_every_refusal_is_a_problem(client, sold: Sold, method, address, headers, status) -> None:
    answer = getattr(client, method)(API + address, headers=headers)
    assert answer.status_code == status
    assert answer.headers["Content-Type"] == "application/problem+json"
    told = answer.json()
    # RFC 9457, 3.1: these members; 4.2.1: the title of about:blank is the phrase of the status.
    assert (told["status"], told["type"]) == (status, "about:blank")
    assert told["title"] in {"Bad Request", "Not Found", "Method Not Allowed", "Not Acceptable"}
    assert told["detail"].endswith(".")
    assert bool(told["errors"]) is (status == 400)


def test_a_bad_parameter_is_named_with_what_to_write(client, sold: Sold) -> None:
    told = client.get(f"{API}/lots?limit=many&lnguage=sv").json()
    assert {error["field"]: error["detail"] for error in told["errors"]} == {
        "limit": "Write a whole number from 1 to 100.",
        "lnguage": "This address does not know it. It knows: language, coffee, cursor, limit.",
    }


def test_our_own_mistake_is_a_problem_too_and_tells_nothing(client, sold: Sold, monkeypatch, caplog) -> None:
    def broken(*_args: object) -> None:
        raise RuntimeError("a secret of the house")

    monkeypatch.setattr(views.entries, "roastery", broken)
    answer = client.get(f"{API}/roastery")
    assert (answer.status_code, answer.headers["Content-Type"]) == (500, "application/problem+json")
    assert "secret" not in answer.content.decode()
    assert "a secret of the house" in caplog.text


@pytest.mark.parametrize("address", ["/roastery", "/coffees", "/lots", "/guides", "/changes", "/openapi.json"])
def test_what_a_reader_has_already_is_not_sent_again(client, sold: Sold, address) -> None:
    first = client.get(API + address)
    again = client.get(API + address, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert client.head(API + address).headers["ETag"] == first.headers["ETag"]


def test_a_change_shows_at_the_next_look(client, sold: Sold) -> None:
    first = client.get(f"{API}/coffees")
    Coffee.objects.update(description="Clear as a bell.")
    again = client.get(f"{API}/coffees", headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 200
    assert again.json()["items"][0]["description"] == "Clear as a bell."


def test_scripts_of_other_sites_may_read_and_no_more(client, sold: Sold) -> None:
    answer = client.get(f"{API}/coffees", headers={"Origin": "https://shop.example"})
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    assert "ETag" in answer.headers["Access-Control-Expose-Headers"]
    asked = client.options(
        f"{API}/coffees", headers={"Origin": "https://shop.example", "Access-Control-Request-Method": "GET"}
    )
    assert asked.status_code == 204
    assert asked.headers["Access-Control-Allow-Methods"] == "GET, HEAD, OPTIONS"
    assert "Authorization" not in asked.headers["Access-Control-Allow-Headers"]
    assert "Access-Control-Allow-Credentials" not in asked.headers
    assert "Access-Control-Allow-Origin" not in client.get("/en/").headers


def test_nobody_is_followed(client, sold: Sold) -> None:
    for address in ("/coffees", f"/guides/{sold.version.guide.number}/sheet", "/nowhere"):
        assert "Set-Cookie" not in client.get(API + address).headers


@pytest.mark.parametrize("key", [0, 1, 41, 10**17])
def test_a_cursor_is_read_back(key) -> None:
    assert cursors.read(cursors.write(key)) == key


@pytest.mark.parametrize(
    "text", ["", "41", "after:41", "YWZ0ZXI6", "YWZ0ZXI6LTE", "YWZ0ZXI6MDE", "é", "=", "YWZ0ZXI6NDE="]
)
def test_what_is_no_cursor_is_refused(text) -> None:
    with pytest.raises(ValueError, match="no cursor of ours"):
        cursors.read(text)
