"""A coffee that the lists speak of."""

from __future__ import annotations

import pytest

from guides.models import Coffee
from tests.factories import CoffeeFactory


@pytest.fixture
def rope_walk(db: None) -> Coffee:
    return CoffeeFactory(code="RW", name="Rope Walk", slug="rope-walk")
