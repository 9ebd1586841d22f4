"""Tokens of forms that need no cookie: signed, timed, good once."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import time_machine
from django.core import signing
from django.db import transaction

from guides.jobs import sweeper
from guides.lifecycle import form_token
from guides.lifecycle.form_token import TokenRefused, Trouble
from guides.models import SpentToken

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def read_after(seconds: float, token: str | None = None, purpose: str = "question") -> form_token.FormToken:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as clock:
        made = form_token.issue("question") if token is None else token
        clock.shift(seconds)
        return form_token.read(made, purpose)


def trouble(act) -> Trouble:
    with pytest.raises(TokenRefused) as refused:
        act()
    return refused.value.trouble


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [(0, Trouble.EARLY), (2, Trouble.EARLY), (6 * 3600 + 1, Trouble.LATE), (10**7, Trouble.LATE)],
)
def test_only_a_person_s_time_will_do(seconds: float, expected: Trouble) -> None:
    assert trouble(lambda: read_after(seconds)) is expected


@pytest.mark.parametrize("seconds", [3, 60, 6 * 3600])
def test_from_a_few_seconds_to_some_hours_is_fine(seconds: float) -> None:
    assert read_after(seconds).nonce


@pytest.mark.parametrize(
    "token",
    [
        lambda: "",
        lambda: "nonsense",
        lambda: "a:b:c",
        lambda: "\x00",
        lambda: signing.dumps(["n", "question", 0]),
        lambda: signing.dumps("x", salt="guides.form_token"),
    ],
)
def test_what_was_not_signed_here_is_forged(token: Callable[[], str]) -> None:
    assert trouble(lambda: read_after(60, token())) is Trouble.FORGED


def test_a_token_is_good_for_one_form_only() -> None:
    assert trouble(lambda: read_after(60, purpose="brew log")) is Trouble.FORGED


def test_an_older_key_still_counts_while_it_is_named(settings) -> None:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as clock:
        token = form_token.issue("question")
        clock.shift(60)
        old, settings.SECRET_KEY = settings.SECRET_KEY, "another-" * 8
        assert trouble(lambda: form_token.read(token, "question")) is Trouble.FORGED
        settings.SECRET_KEY_FALLBACKS = [old]
        assert form_token.read(token, "question")


def test_it_is_good_once() -> None:
    token = read_after(60)
    form_token.spend(token)
    assert trouble(lambda: form_token.spend(token)) is Trouble.USED
    assert SpentToken.objects.count() == 1


def test_it_is_not_used_up_by_a_post_that_was_not_stored() -> None:
    token = read_after(60)
    with transaction.atomic():
        form_token.spend(token)
        transaction.set_rollback(True)
    form_token.spend(token)


def test_without_the_unique_row_it_would_be_good_twice() -> None:
    """The negative control: the same token after its row is gone."""
    token = read_after(60)
    form_token.spend(token)
    SpentToken.objects.all().delete()
    form_token.spend(token)


def test_what_is_too_old_to_come_back_is_swept() -> None:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False) as clock:
        form_token.spend(form_token.FormToken("a"))
        clock.shift(6 * 3600 - 1)
        sweeper.sweep()
        assert SpentToken.objects.exists()
        clock.shift(2)
        sweeper.sweep()
        assert not SpentToken.objects.exists()
