"""What every test may use."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

import pytest
from django.conf import settings as django_settings
from django.core.management.commands import flush
from django.db import connections
from django.utils import translation
from hypothesis import HealthCheck, settings

from guides.models import GuideVersion, User, triggers
from tests.commands.sites import blank_site, new_site  # noqa: F401 - fixtures
from tests.factories import GuideVersionFactory, UserFactory, published

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.browser import Tab

# A loaded machine is not a wrong number, and the same code passes today and tomorrow; full counts look further.
settings.register_profile(
    "calm",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=os.environ.get("FULL_COUNTS") != "1",
)
settings.load_profile("calm")


@pytest.fixture(autouse=True, scope="session")
def _emptying_takes_guards_off() -> Iterator[None]:
    """A test that commits has its tables emptied afterwards; only that moment goes without the database guards."""
    empty = flush.Command.handle

    def handle(self: flush.Command, **options: Any) -> None:
        connection = connections[options["database"]]
        triggers.remove(connection)
        try:
            empty(self, **options)
        finally:
            triggers.install(connection)

    with patch.object(flush.Command, "handle", handle):
        yield


@pytest.fixture(autouse=True)
def _own_language() -> Iterator[None]:
    """A request in Swedish leaves its language to whatever runs next in the same thread; no test may."""
    translation.deactivate()
    yield
    translation.deactivate()


@pytest.fixture(autouse=True)
def _codes_of_one_test() -> Iterator[None]:
    """What a test recorded outside the database goes with its rows."""
    folder = django_settings.STORAGES["codes"]["OPTIONS"]["location"]
    yield
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def roaster(db: None) -> User:
    return UserFactory(role="roaster")


@pytest.fixture
def publisher(db: None) -> User:
    return UserFactory(role="publisher")


@pytest.fixture
def packer(db: None) -> User:
    return UserFactory(role="packer")


@pytest.fixture
def shop(db: None) -> User:
    return UserFactory(role="shop")


@pytest.fixture
def reader(db: None) -> User:
    return UserFactory(role="reader")


@pytest.fixture
def draft(db: None) -> GuideVersion:
    """A draft that could be published."""
    return GuideVersionFactory()


@pytest.fixture
def printed(db: None) -> GuideVersion:
    """A published version."""
    return published()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of a run."""
    from tests.browser import launched

    # Playwright keeps an event loop running in this thread, and Django takes that for asynchronous code.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with launched() as started:
        yield started


@pytest.fixture
def tab(browser: Browser, live_server: Any) -> Iterator[Tab]:
    """A fresh window on the running site, without cookies of other tests."""
    from tests.browser import Tab

    context = browser.new_context(viewport={"width": 1280, "height": 800})
    yield Tab(context.new_page(), live_server.url)
    context.close()
