"""The preview in a real browser: the page stands in its phone-wide frame, and what is not ours to frame does not."""

from __future__ import annotations

import pytest
from django.urls import reverse

from guides.models import Roastery
from tests.factories import UserFactory, ValveVersionFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def frame(tab) -> str:
    """Address of a draft's preview, for somebody logged in."""
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])
    user = UserFactory(role="roaster")
    user.set_password("mossgull-by-the-sea")
    user.save()
    tab.go("/admin/login/")
    tab.page.fill("#id_username", user.username)
    tab.page.fill("#id_password", "mossgull-by-the-sea")
    tab.page.click("[type=submit]")
    return reverse("admin:guides_guideversion_preview", args=[ValveVersionFactory().pk])


@pytest.mark.parametrize("width", [1280, 360])
def test_the_page_stands_in_a_phone_in_every_language(tab, frame, width):
    tab.resize(width)
    tab.go(frame)
    shown = tab.page.frame_locator("iframe.phone")
    shown.get_by_role("heading", name="Step by step").wait_for()
    for language, heading in (("Swedish", "Steg för steg"), ("Finnish", "Vaihe vaiheelta")):
        tab.page.get_by_role("navigation", name="Language of the preview").get_by_role("link", name=language).click()
        shown.get_by_role("heading", name=heading).wait_for()
    assert tab.page.locator("iframe.phone").evaluate("one => one.clientWidth") <= min(375, width)
    assert tab.overflow() <= 0
    assert tab.quiet(), tab
    assert tab.axe() == []


def test_links_lead_out_of_the_frame(tab, frame):
    shown = tab.page.frame_locator("iframe.phone")
    tab.go(frame)
    shown.get_by_role("link", name="Outer Mark").first.click()
    tab.page.wait_for_url(lambda address: "/admin/" not in address)
    tab.go(frame)
    shown.get_by_role("link", name="Back to the desk").click()
    tab.page.wait_for_url("**/change/")


def test_the_desk_itself_is_not_framed(tab, frame):
    """Negative control: only the page of the preview lets itself be framed, and only here."""
    tab.go(frame)
    tab.page.frame_locator("iframe.phone").get_by_role("heading", name="Step by step").wait_for()
    assert tab.quiet(), tab
    with tab.page.expect_console_message(lambda message: "frame-ancestors" in message.text):
        tab.page.evaluate("document.querySelector('iframe.phone').src = '/admin/?framed'")
