"""What the API says of itself: a valid OpenAPI document that names every address, parameter and refusal."""

from __future__ import annotations

import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

from guides.api import schema, urls
from guides.presenters.adapt_request import NAMES

pytestmark = pytest.mark.django_db


@pytest.fixture
def document(client):
    return client.get("/api/v1/openapi.json").json()


def test_the_description_is_valid_openapi_3_1(document):
    """Outside check: openapi-spec-validator holds the OpenAPI Initiative's own schema."""
    assert document["openapi"].startswith("3.1.")
    OpenAPIV31SpecValidator(document).validate()


def test_making_it_leaves_no_warning(capsys):
    """The library guesses what it is not told, and says so."""
    schema.document.cache_clear()
    schema.document()
    assert capsys.readouterr().err == ""


def test_it_describes_every_address(document):
    served = {
        "/api/v1/" + str(entry.pattern).replace("<int:", "{").replace("<str:", "{").replace(">", "}")
        for entry in urls.urlpatterns
        if entry.name not in ("openapi", "nothing")
    }
    assert set(document["paths"]) == served


def test_everything_in_it_is_explained(document):
    for address, methods in document["paths"].items():
        for method, operation in methods.items():
            assert operation["description"], (address, method)
            assert {"401", "406", "429"} <= set(operation["responses"]), address
            for parameter in operation.get("parameters", ()):
                assert parameter["in"] == "path" or parameter["description"], parameter
    assert all(part.get("description") for part in document["components"]["schemas"].values())


def test_a_sheet_takes_every_parameter_of_a_page(document):
    asked = document["paths"]["/api/v1/guides/{number}/sheet"]["get"]["parameters"]
    assert set(NAMES) <= {parameter["name"] for parameter in asked}
