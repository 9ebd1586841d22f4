"""The desk answers GET, HEAD and POST alone."""

import pytest
from django.test import Client

from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS"])
def test_other_methods_are_refused_even_to_an_owner(method, settings):
    client = Client()
    client.force_login(UserFactory(is_superuser=True))
    answer = client.generic(method, "/admin/guides/guide/add/")
    assert (answer.status_code, answer.headers["Allow"]) == (405, "GET, HEAD, POST")
    # Negative control: the stock desk shows the form to any method it does not know.
    settings.MIDDLEWARE = [name for name in settings.MIDDLEWARE if "DeskMethods" not in name]
    open_to_all = Client()
    open_to_all.force_login(UserFactory(is_superuser=True))
    assert open_to_all.generic(method, "/admin/guides/guide/add/").status_code == 200
