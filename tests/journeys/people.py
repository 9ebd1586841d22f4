"""Somebody at the desk: signed in, in a window of their own, with a keyboard."""

from __future__ import annotations

from playwright.sync_api import Browser

from tests.browser import Tab
from tests.factories import UserFactory

_PASSWORD = "mossgull-by-the-sea"


def at_work(browser: Browser, home: str, role: str, **named: str) -> Tab:
    """Sign somebody in who has a role, with the mouse out of reach."""
    user = UserFactory(role=role, **named)
    user.set_password(_PASSWORD)
    user.save()
    tab = Tab(browser.new_context(viewport={"width": 1280, "height": 800}).new_page(), home)
    tab.go("/admin/login/")
    tab_to(tab, "#id_username")
    tab.page.keyboard.type(user.username)
    tab.page.keyboard.press("Tab")
    tab.page.keyboard.type(_PASSWORD)
    enter(tab)
    return tab


def tab_to(tab: Tab, selector: str) -> None:
    """Reach an element the way a keyboard does."""
    for _ in range(400):
        if tab.page.evaluate("(wanted) => document.activeElement.matches(wanted)", selector):
            return
        tab.page.keyboard.press("Tab")
    raise AssertionError(f"{selector} cannot be reached by keyboard")


def enter(tab: Tab) -> None:
    """Press Enter where it leads to another page, and wait for that."""
    with tab.page.expect_navigation():
        tab.page.keyboard.press("Enter")


def looks_right(tab: Tab) -> None:
    """The page fits its window, asks nobody else, breaks no policy, and axe finds nothing."""
    tab.page.locator("h1").first.wait_for()  # a click returns before the next page has come
    assert tab.overflow() <= 0, tab.page.url
    assert tab.quiet(), tab
    found = tab.axe()
    assert found == [], (tab.page.url, found)
    tab.refused.clear()  # axe styles the page inline
