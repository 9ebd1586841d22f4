"""Guesses at a password are stopped where they come from, and never lock the owner out."""

from __future__ import annotations

import pytest
from django.conf import settings as django_settings
from django.test import Client
from pytest_django import Settings

from guides.models import User

OWNER, GUESSER, PROXY = "203.0.113.5", "198.51.100.66", "10.0.0.9"
PASSWORD = "a long one, kept by the owner"

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(settings: Settings) -> User:
    settings.PROXY_DEPTH = 1
    settings.ROOT_URLCONF = "roastery.urls"
    return User.objects.create_user("tove", password=PASSWORD, is_staff=True)


def log_in(password: str, client_address: str) -> int:
    """Log in as the owner from an address behind the proxy and return the status: 302 in, 200 wrong, 429 locked out."""
    response = Client().post(
        "/admin/login/",
        {"username": "tove", "password": password},
        REMOTE_ADDR=PROXY,
        headers={"x-forwarded-for": client_address},
    )
    return response.status_code


def guess(times: int = 30, address: str = GUESSER) -> list[int]:
    return [log_in(f"guess {number}", address) for number in range(times)]


def test_guesser_is_locked_out_and_owner_is_not(owner: User) -> None:
    statuses = guess()
    limit = django_settings.AXES_FAILURE_LIMIT
    assert statuses[: limit - 1] == [200] * (limit - 1)
    assert set(statuses[limit:]) == {429}
    assert log_in(PASSWORD, GUESSER) == 429, "the right password does not help at the guesser's address"
    assert log_in(PASSWORD, OWNER) == 302


def test_invented_forwarding_header_does_not_shift_the_blame(owner: User) -> None:
    """The guesser writes the owner's address into the header; the proxy appends the guesser's own."""
    guess(address=f"{OWNER}, {GUESSER}")
    assert log_in(PASSWORD, GUESSER) == 429
    assert log_in(PASSWORD, OWNER) == 302


def test_invented_forwarding_header_does_not_buy_more_guesses(owner: User) -> None:
    statuses = [log_in(f"guess {number}", f"192.0.2.{number}, {GUESSER}") for number in range(30)]
    assert statuses.count(200) < django_settings.AXES_FAILURE_LIMIT


def test_control_keyed_on_the_name_alone_the_owner_would_be_out(owner: User, settings: Settings) -> None:
    settings.AXES_LOCKOUT_PARAMETERS = ["username"]
    guess()
    assert log_in(PASSWORD, OWNER) == 429


def test_control_without_the_proxy_depth_the_owner_would_be_out(owner: User, settings: Settings) -> None:
    settings.PROXY_DEPTH = 0
    guess()
    assert log_in(PASSWORD, OWNER) == 429
