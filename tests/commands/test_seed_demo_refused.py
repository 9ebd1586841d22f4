"""Where the demo world is not put."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command

from guides.models import Coffee, Roastery, User

pytestmark = pytest.mark.django_db


def test_a_site_that_is_no_demo_is_refused(settings):
    settings.DEMO = settings.DEBUG = False
    with pytest.raises(CommandError, match="not a demo site"):
        call_command("seed_demo")
    assert not Roastery.objects.exists()


@pytest.mark.parametrize(
    "occupy", [lambda: Coffee.objects.create(name="A", code="A", slug="a"), lambda: User.objects.create_user("someone")]
)
def test_a_database_in_use_is_refused(settings, occupy):
    settings.DEMO = True
    occupy()
    with pytest.raises(CommandError, match="in use"):
        call_command("seed_demo")
    assert not Roastery.objects.exists()
