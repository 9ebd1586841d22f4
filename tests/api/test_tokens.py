"""Who is let in, what for, and how often.

Outside sources: RFC 6750 (Bearer tokens: 401 with a challenge, 403 for too little scope), RFC 6585 (429).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test import override_settings
from django.utils import timezone

from guides.lifecycle import tokens
from guides.models import ApiToken, Event, TrialBrew
from tests.commands.site import Site
from tests.factories import TrialBrewFactory, UserFactory
from tests.factories.programs import issued

from .conftest import API, Sold

pytestmark = pytest.mark.django_db


def bearer(text: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {text}"}


def test_a_token_is_kept_as_its_hash_alone() -> None:
    token, text = issued("evidence")
    assert len(text) >= 43  # 256 bits in base64 are 43 signs
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM guides_apitoken")
        row = repr(cursor.fetchall())
    assert text not in row
    assert hashlib.sha256(text.encode()).hexdigest() in row
    assert text.startswith(token.start)
    assert text not in json.dumps([event.details for event in Event.objects.all()])


def test_what_needs_a_scope_is_shut_without_it(client, sold: Sold) -> None:
    address = f"{API}/guides/{sold.version.guide.number}/evidence"
    nobody = client.get(address)
    assert (nobody.status_code, nobody.headers["WWW-Authenticate"]) == (401, "Bearer")
    _token, other = issued("webhooks")
    assert client.get(address, headers=bearer(other)).status_code == 403
    _token, right = issued("evidence")
    assert client.get(address, headers=bearer(right)).status_code == 200
    assert "Access-Control-Allow-Origin" not in client.get(address, headers=bearer(right)).headers


@pytest.mark.parametrize("sent", ["Bearer guides_nonsense", "Basic abc", "Bearer", "guides_x", "Bearer \xe9"])
def test_what_does_not_count_is_refused_even_where_none_is_needed(client, sold: Sold, sent: str) -> None:
    assert client.get(f"{API}/coffees", headers={"Authorization": sent}).status_code == 401


def test_a_revoked_token_and_one_of_somebody_who_left_open_nothing(client, sold: Sold) -> None:
    token, text = issued("evidence")
    assert client.get(f"{API}/coffees", headers=bearer(text)).status_code == 200
    tokens.revoke(token, by=UserFactory(role="publisher"))
    assert client.get(f"{API}/coffees", headers=bearer(text)).status_code == 401
    other, text = issued("evidence")
    other.created_by.is_active = False
    other.created_by.save()
    assert client.get(f"{API}/coffees", headers=bearer(text)).status_code == 401


def test_using_a_token_is_noted_and_no_more_than_once_a_minute(client, sold: Sold) -> None:
    token, text = issued()
    with time_machine.travel(timezone.now(), tick=False) as clock:
        began = timezone.now()
        for _time in range(2):
            client.get(f"{API}/roastery", headers=bearer(text))
            clock.shift(timedelta(seconds=30))
        assert ApiToken.objects.get(pk=token.pk).last_used_at == began
        client.get(f"{API}/roastery", headers=bearer(text))
        assert ApiToken.objects.get(pk=token.pk).last_used_at == began + timedelta(seconds=60)


def test_evidence_tells_figures_and_nobody(client, sold: Sold) -> None:
    for drained_s in (170, 190, 200):
        TrialBrewFactory(of=sold.version, lot=sold.lot, drained_s=drained_s, taste="Secret taste")
    _token, text = issued("evidence")
    answer = client.get(f"{API}/guides/{sold.version.guide.number}/evidence", headers=bearer(text))
    told = answer.json()
    assert told["brews"] == TrialBrew.objects.count() == 3
    assert told["drained_s"] == {"brews": 3, "least": 170.0, "middle": 190.0, "most": 200.0}
    assert told["flow_factor"]["low"] < told["flow_factor"]["likely"] < told["flow_factor"]["high"]
    assert "Secret" not in answer.content.decode()
    assert answer.headers["Cache-Control"] == "private, no-cache"


def test_no_token_reads_drafts(client, sold: Sold, draft) -> None:
    _token, text = issued("evidence", "webhooks")
    for address in (f"/guides/{draft.guide.number}", f"/guides/{draft.guide.number}/sheet"):
        assert client.get(API + address, headers=bearer(text)).status_code == 404


@override_settings(API_RATE="3/hour", API_RATE_WITH_TOKEN="5/hour")
def test_too_many_are_told_when_to_go_on(client, sold: Sold) -> None:
    with time_machine.travel(timezone.now().replace(minute=10, second=0), tick=False):
        answers = [client.get(f"{API}/roastery") for _time in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        assert answers[3].headers["Retry-After"] == "3000"
        assert answers[3].headers["Content-Type"] == "application/problem+json"
        _token, text = issued()
        codes = [client.get(f"{API}/roastery", headers=bearer(text)).status_code for _time in range(6)]
        assert codes == [200] * 5 + [429]


FLOOD = """
import sys
from django.test import Client
print("ready", flush=True)
sys.stdin.readline()
client = Client()
answers = [client.get("/api/v1/roastery", REMOTE_ADDR="203.0.113.7", secure=True,
                      headers={"host": "guides.example"}).status_code
           for _ in range(EACH)]
print(answers.count(200), answers.count(429))
"""


@pytest.mark.data
def test_the_limit_is_exact_over_processes(new_site: Callable[[], Site]) -> None:
    """The settings' own rate; the stretch is an hour so that no minute ends in between."""
    site = new_site()
    site.set_up()
    before = "from django.conf import settings\nsettings.API_RATE = '30/day'\n"
    processes = [site.begin(before + FLOOD.replace("EACH", "15"), stdin=True) for _process in range(4)]
    for process in processes:
        assert process.stdout.readline() == "ready\n"
    for process in processes:
        process.stdin.write("go\n")
        process.stdin.flush()
    told = [process.communicate(timeout=120)[0].split() for process in processes]
    assert sum(int(taken) for taken, _refused in told) == 30
    assert sum(int(refused) for _taken, refused in told) == 30
