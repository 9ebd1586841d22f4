"""Programs add and end webhooks themselves."""

from __future__ import annotations

import pytest

from guides.models import Event, Webhook
from tests.factories.programs import issued

from .conftest import API, Sold

pytestmark = pytest.mark.django_db
GOOD = {"url": "https://shop.example/hooks?x=1", "about": ["guide.published", "lot.recalled"]}


@pytest.fixture
def keys(sold: Sold) -> dict[str, str]:
    _token, text = issued("webhooks")
    return {"Authorization": f"Bearer {text}"}


def test_added_listed_ended(client, keys) -> None:
    made = client.post(f"{API}/webhooks", GOOD, content_type="application/json", headers=keys)
    assert made.status_code == 201, made.content
    secret = made.json()["secret"]
    assert secret == Webhook.objects.get().secret
    assert made.headers["Location"].endswith(f"/api/v1/webhooks/{made.json()['id']}")
    (listed,) = client.get(f"{API}/webhooks", headers=keys).json()["items"]
    assert listed == {name: value for name, value in made.json().items() if name != "secret"}
    own = made.headers["Location"].removeprefix("http://guides.test")
    assert client.get(own, headers=keys).json() == listed
    assert secret not in str(Event.objects.values_list("reason", "details"))
    assert client.delete(own, headers=keys).status_code == 204
    assert client.get(own, headers=keys).status_code == 404
    assert client.delete(own, headers=keys).status_code == 404
    assert [(event.verb, event.details["through"]) for event in Event.objects.filter(verb__endswith="webhook")] == [
        ("ended_webhook", "web shop"),
        ("added_webhook", "web shop"),
    ]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({**GOOD, "url": "http://shop.example/"}, "url"),
        ({**GOOD, "url": "https://10.0.0.1/"}, "url"),
        ({**GOOD, "url": "nonsense"}, "url"),
        ({**GOOD, "url": "x" * 501}, "url"),
        ({**GOOD, "about": []}, "about"),
        ({**GOOD, "about": ["lot.eaten"]}, "about.0"),
        ({"about": ["lot.recalled"]}, "url"),
        ([], "non_field_errors"),
    ],
)
def test_what_cannot_be_added_names_its_field(client, keys, body, field) -> None:
    answer = client.post(f"{API}/webhooks", body, content_type="application/json", headers=keys)
    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert field in [error["field"] for error in answer.json()["errors"]]
    assert not Webhook.objects.exists()


def test_other_bodies_are_refused(client, keys) -> None:
    assert client.post(f"{API}/webhooks", "{", content_type="application/json", headers=keys).status_code == 400
    form = client.post(f"{API}/webhooks", GOOD, headers=keys)
    assert (form.status_code, form.json()["title"]) == (415, "Unsupported Media Type")


def test_a_log_in_at_the_desk_is_no_token(client, sold: Sold, publisher) -> None:
    """No cookie counts here, so no other site can use it."""
    client.force_login(publisher)
    assert client.post(f"{API}/webhooks", GOOD, content_type="application/json").status_code == 401
