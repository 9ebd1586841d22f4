"""The API keeps to its own description, whatever is asked.

Outside check: schemathesis makes requests from the OpenAPI document, right and wrong ones, and holds each answer to it.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi import checks

from tests.factories import TrialBrewFactory
from tests.factories.programs import issued, told
from tests.public import world

from .conftest import Sold

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_one_connection")]

EACH = 75 if os.environ.get("FULL_COUNTS") == "1" else 5  # of right and of wrong requests, for every operation
POSITIVE, NEGATIVE = GenerationMode.POSITIVE, GenerationMode.NEGATIVE
CHECKS = [
    not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_headers_conformance,
    checks.response_schema_conformance,
    checks.negative_data_rejection,
]


@pytest.fixture
def _one_connection() -> Iterator[None]:
    """A server closes its connections between requests, and with this one everything of the test would go."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@dataclass(frozen=True)
class Shop:
    """A token for everything, and the names of what is there, by the start of an address."""

    token: str
    known: dict[str, dict[str, object]]


@pytest.fixture
def shop(sold: Sold, settings) -> Shop:
    """Something behind every address."""
    settings.ALLOWED_HOSTS = ["localhost"]  # what it asks for when there is no network
    TrialBrewFactory(of=sold.version, lot=sold.lot)
    world.next_revision(sold.version, kettle_c="96.0")
    webhook, (_token, text) = told(), issued("evidence", "webhooks")
    known: dict[str, dict[str, object]] = {
        "/api/v1/coffees/": {"id": sold.lot.coffee.pk},
        "/api/v1/lots/": {"name": sold.lot.name},
        "/api/v1/guides/": {"number": sold.version.guide.number, "revision": 1},
        "/api/v1/webhooks/": {"id": webhook.pk},
    }
    return Shop(text, known)


def asked(shop: Shop) -> Counter[int]:
    """Ask for everything the description holds; give how often each status was answered."""
    schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", get_wsgi_application())
    answers: Counter[int] = Counter()
    key = {"Authorization": f"Bearer {shop.token}"}
    for found in schema.get_all_operations():
        operation = found.ok()
        there = next((names for start, names in shop.known.items() if operation.path.startswith(start)), {})
        for mode, headers, names in ((POSITIVE, key, there), (POSITIVE, {}, {}), (NEGATIVE, key, {})):
            try:
                _ask(operation, mode, headers, names, answers)
            except Unsatisfiable:
                assert mode is NEGATIVE, "where nothing can be said, nothing can be said wrong"
    return answers


def _ask(operation, mode, headers, names, answers: Counter[int]) -> None:
    quiet = list(HealthCheck)
    run = hypothesis_settings(
        max_examples=EACH, deadline=None, database=None, derandomize=True, suppress_health_check=quiet
    )

    @run
    @given(case=operation.as_strategy(generation_mode=mode))
    def ask(case) -> None:
        case.path_parameters.update({name: value for name, value in names.items() if name in case.path_parameters})
        answer = case.call(headers={"Accept-Encoding": "identity", **headers})
        answers[answer.status_code] += 1
        case.validate_response(answer, checks=CHECKS)

    ask()


def test_every_answer_is_as_described(shop: Shop) -> None:
    answers = asked(shop)
    print(f"{sum(answers.values())} requests, by status: {dict(sorted(answers.items()))}")
    assert not [status for status in answers if status >= 500]
    assert answers[200] > 4 * EACH
