"""Every address of the API × every token × every method.

Outside source: RFC 9110, 15.5 (401 for who is not known, 403 for who may not, 405 for what is not done there).
"""

from __future__ import annotations

from collections import Counter

import pytest
from django.db import transaction

from guides.api import urls
from guides.choices import Scope
from guides.lifecycle import tokens
from tests.admin import matrix
from tests.factories import UserFactory
from tests.factories.programs import issued, told

from .conftest import API, Sold

pytestmark = pytest.mark.django_db

METHODS = ("GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE")
READ = {"GET", "HEAD", "OPTIONS"}
# What an address needs, and what may be done there besides reading.
NEEDS = {route: Scope.EVIDENCE if "evidence" in route else Scope.WEBHOOKS for route in matrix.SCOPED}
WRITES = {"webhooks": {"POST"}, "webhooks/<int:id>": {"DELETE"}}


@pytest.fixture
def doors(sold: Sold, settings) -> dict[str, tuple[str, frozenset[str] | None]]:
    """Tokens by name: the text, and what each is good for; ``None`` for one that does not count."""
    settings.API_RATE = settings.API_RATE_WITH_TOKEN = "100000/hour"
    made = {scope.value: (issued(scope)[1], frozenset({scope.value})) for scope in Scope}
    revoked, text = issued(*Scope.values)
    tokens.revoke(revoked, by=UserFactory(role="publisher"))
    whole = issued(*Scope.values)[1]
    return {
        "none": ("", frozenset()), "good for nothing": (issued()[1], frozenset()), **made,
        "good for all": (whole, frozenset(Scope.values)), "revoked": (text, None),
    }  # fmt: skip


def expected(route: str, may: frozenset[str] | None, known: bool, method: str) -> set[int]:
    if may is None:
        return {401}
    if "rest>" in route:
        return {404}
    needed = NEEDS.get(route)
    if needed and needed not in may:
        return {403} if known else {401}
    if method in READ:
        return {204} if method == "OPTIONS" else {200}
    # A body is wanted where something is added.
    return {204, 400} if method in WRITES.get(route, ()) else {405}


def test_every_token_opens_what_it_is_good_for_and_no_more(client, sold: Sold, doors) -> None:
    world = {
        "coffee": sold.lot.coffee_id, "lot_name": sold.lot.name, "guide_number": sold.version.guide.number,
        "webhook": told().pk,
    }  # fmt: skip
    routes = {**matrix.API, **matrix.SCOPED}
    assert set(routes) == {str(entry.pattern) for entry in urls.urlpatterns}, "an address is missing from the matrix"
    wrong, answers = [], Counter[int]()
    for route, address in routes.items():
        for name, (text, may) in doors.items():
            headers = {"Authorization": f"Bearer {text}"} if text else {}
            for method in METHODS:
                with transaction.atomic():
                    path = f"{API}/{address.format(**world)}"
                    status = client.generic(method, path, "{}", "application/json", headers=headers).status_code
                    transaction.set_rollback(True)
                answers[status] += 1
                if status not in expected(route, may, bool(text), method):
                    wrong.append((route, name, method, status))
    print(f"{answers.total()} requests to {len(routes)} addresses with {len(doors)} tokens, by status: {dict(answers)}")
    assert wrong == []
