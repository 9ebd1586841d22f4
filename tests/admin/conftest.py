"""Staff at the desk, and a form filled as its page shows it."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from django.conf import settings
from django.test import Client

from guides.models import User
from tests.browser import Tab
from tests.factories import UserFactory


@pytest.fixture
def at_desk():
    """Log somebody in: ``at_desk(user)`` or ``at_desk(role="packer")``."""

    def log_in(user: User | None = None, role: str = "roaster") -> Client:
        client = Client()
        client.force_login(user or UserFactory(role=role))
        return client

    return log_in


@pytest.fixture
def at_desk_in():
    """Log somebody in in a browser's tab: ``at_desk_in(tab, user)``."""

    def log_in(tab: Tab, user: User) -> None:
        client = Client()
        client.force_login(user)
        name, value = settings.SESSION_COOKIE_NAME, client.cookies[settings.SESSION_COOKIE_NAME].value
        tab.page.context.add_cookies([{"name": name, "value": value, "url": tab.home}])

    return log_in


class _Form(HTMLParser):
    """Collects what a browser would post from the change form of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._select = self._area = ""
        self._in_form = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._in_form = given.get("id", "").endswith("_form")
        name = given.get("name", "")
        if not self._in_form or ("disabled" in given and tag != "option"):
            return
        if tag == "input" and name and given.get("type") not in ("submit", "button"):
            ticked = given.get("type") in ("checkbox", "radio")
            if not ticked or "checked" in given:
                self.fields[name] = given.get("value", "on" if ticked else "")
        elif tag == "select":
            self._select = name
            self.fields[name] = ""
        elif tag == "option" and self._select and "selected" in given:
            self.fields[self._select] = given.get("value", "")
        elif tag == "textarea":
            self._area = name
            self.fields[name] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self.fields[self._area] += data.removeprefix("\n").replace("\r\n", "\n")


@pytest.fixture
def filled():
    """``filled(client, address)`` gives the fields of the page's form as a browser would send them back."""

    def read(client: Client, address: str) -> dict[str, str]:
        response = client.get(address)
        assert response.status_code == 200, (address, response.status_code)
        return fields_of(response)

    return read


def fields_of(response) -> dict[str, str]:
    """What a browser would post from the form of this page."""
    form = _Form()
    form.feed(response.content.decode())
    return {name: value for name, value in form.fields.items() if "__prefix__" not in name}


@pytest.fixture
def text_of():
    """The words of a page, tags taken off and spaces run together."""

    class Words(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.words: list[str] = []

        def handle_data(self, data: str) -> None:
            self.words.append(data)

    def read(response) -> str:
        words = Words()
        words.feed(response.content.decode())
        return " ".join(" ".join(words.words).split())

    return read
