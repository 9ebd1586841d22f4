"""The page that explains the API: complete, in our own frame, with nothing from elsewhere."""

from __future__ import annotations

import re

import pytest

from guides.api import schema

from . import world

pytestmark = pytest.mark.django_db


def test_it_tells_every_address_parameter_and_shape(client):
    world.roastery()
    document = schema.document()
    text = client.get("/sv/api/").text
    for path, methods in document["paths"].items():
        assert path in text
        for operation in methods.values():
            assert f'id="{operation["operationId"]}"' in text
            assert all(f"<code>{each['name']}</code>" in text for each in operation.get("parameters", ()))
    assert all(f'id="shape-{name}"' in text for name in document["components"]["schemas"])


def test_it_keeps_to_the_policy_and_needs_no_script(client):
    world.roastery()
    answer = client.get("/en/api/")
    assert "<script" not in answer.text
    assert set(re.findall(r'(?:src|href)="(https?://[^/"]+)', answer.text)) == {"http://guides.test"}
    assert "`" not in answer.text
