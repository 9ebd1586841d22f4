"""Before a form that anybody may send: each guard stops what it is for, says so, and a person gets through."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import time_machine
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory

from guides.lifecycle import form_token, rate_limit
from guides.lifecycle.rate_limit import Rate
from guides.public import guards
from guides.public.guards import Guard, Stopped

pytestmark = [pytest.mark.django_db, pytest.mark.data]

GUARD = Guard("test", "test 1", (Rate.parse("3/min"),))
HERE = "http://guides.test"


@pytest.fixture(autouse=True)
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as traveller:
        yield traveller


@pytest.fixture
def token(clock: time_machine.Traveller) -> str:
    """Of a form that was opened twenty seconds ago."""
    made = form_token.issue(GUARD.purpose)
    clock.shift(20)
    return made


def post(token: str, headers: dict[str, str] | None = None, **fields: str) -> HttpRequest:
    sent = {"Origin": HERE} if headers is None else headers
    return RequestFactory(SERVER_NAME="guides.test").post("/", {"token": token, **fields}, headers=sent)


def stopped(request: HttpRequest) -> Stopped:
    with pytest.raises(Stopped) as caught:
        guards.check(request, GUARD)
    return caught.value


@pytest.mark.parametrize(
    "headers",
    [{"Origin": HERE}, {"Referer": f"{HERE}/en/ask/1.1/2/"}, {"Origin": HERE, "Referer": "http://evil.test/"}],
)
def test_a_person_on_our_page_gets_through(token: str, headers: dict[str, str]) -> None:
    assert guards.check(post(token, headers, homepage=""), GUARD).nonce


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "null"},
        {"Origin": "http://evil.test"},
        {"Origin": "https://guides.test"},
        {"Origin": "http://guides.test.evil.test"},
        {"Origin": "http://guides.test:8000"},
        {"Referer": "http://evil.test/http://guides.test/"},
        {"Origin": "http://[", "Referer": HERE},
    ],
)
def test_another_site_does_not(token: str, headers: dict[str, str]) -> None:
    refused = stopped(post(token, headers))
    assert refused.status == 403
    assert "another site" in str(refused)


def test_a_second_host_of_the_site_is_ours_too(settings, token: str) -> None:
    settings.ALLOWED_HOSTS = ["guides.test", "packing.test"]
    request = RequestFactory(SERVER_NAME="packing.test").post(
        "/", {"token": token}, headers={"Origin": "http://packing.test"}
    )
    assert guards.check(request, GUARD)


def test_a_filled_trap_stops_a_robot_and_tells_a_person_what_to_do(token: str) -> None:
    refused = stopped(post(token, homepage="http://buy.example"))
    assert refused.status == 400
    assert "send it again" in str(refused)
    assert guards.check(post(refused.token), GUARD)


def test_sent_too_fast_the_same_form_works_a_moment_later(clock: time_machine.Traveller) -> None:
    refused = stopped(post(form_token.issue(GUARD.purpose)))
    assert "faster than people type" in str(refused)
    clock.shift(4)
    assert guards.check(post(refused.token), GUARD)


def test_opened_long_ago_it_comes_back_renewed(token: str, clock: time_machine.Traveller) -> None:
    clock.shift(86_400)
    refused = stopped(post(token))
    assert "a long time ago" in str(refused)
    clock.shift(4)
    assert guards.check(post(refused.token), GUARD)


def test_a_used_token_is_told_apart_and_renewed(token: str, clock: time_machine.Traveller) -> None:
    form_token.spend(guards.check(post(token), GUARD))
    with pytest.raises(form_token.TokenRefused) as used:
        form_token.spend(guards.check(post(token), GUARD))
    refused = guards.stopped_by(used.value, GUARD)
    assert (refused.status, "has arrived already" in str(refused)) == (409, True)
    clock.shift(4)
    form_token.spend(guards.check(post(refused.token), GUARD))


def test_too_often_says_when_to_come_back_and_keeps_the_form(token: str, clock: time_machine.Traveller) -> None:
    for _time in range(3):
        guards.check(post(token), GUARD)
    refused = stopped(post(token))
    answer = refused.mark(HttpResponse(status=refused.status))
    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "40")
    assert "in a minute" in str(refused)
    clock.shift(40)
    assert guards.check(post(refused.token), GUARD)


def test_attempts_that_fail_count_too() -> None:
    for _time in range(3):
        assert stopped(post("forged")).status == 400
    assert stopped(post("forged")).status == 429


@pytest.mark.parametrize(
    ("off", "provoke"),
    [
        ("_from_our_page", lambda token: post(token, {"Origin": "http://evil.test"})),
        ("TRAP_FIELD", lambda token: post(token, homepage="http://buy.example")),
        ("LEAST_S", lambda _token: post(form_token.issue(GUARD.purpose))),
        ("count", lambda token: post(token)),
    ],
)
def test_with_a_guard_off_what_it_stops_gets_through(monkeypatch, token: str, off: str, provoke) -> None:
    """The negative control, guard by guard."""
    for _time in range(3):
        if off == "count":
            guards.check(post(token), GUARD)
    assert stopped(provoke(token))
    where, instead = {
        "_from_our_page": (guards, lambda _request: True),
        "TRAP_FIELD": (guards, "nothing"),
        "LEAST_S": (form_token, -1),
        "count": (rate_limit, lambda *_anything: None),
    }[off]
    monkeypatch.setattr(where, off, instead)
    assert guards.check(provoke(token), GUARD)
