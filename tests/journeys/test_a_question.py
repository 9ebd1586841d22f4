"""A customer asks from a step, a roaster answers, the answer stands under the step and becomes a why of the draft.

By keyboard alone where it matters, on the narrowest phones and at a desk.
"""

from __future__ import annotations

import pytest

from guides.lifecycle import form_token
from guides.models import Guide, Question
from tests.browser import Tab
from tests.factories import UserFactory
from tests.public import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WORDS = "How slowly is slowly?"
ANSWER = "So slowly that the stream does not break: about five grams in a second. You'd notice the bed stays flat."
PASSWORD = "mossgull-by-the-sea"


def settled(tab: Tab) -> None:
    """Nothing sticks out, nothing was refused, and axe finds nothing."""
    assert tab.overflow() <= 0
    assert tab.quiet(), tab
    assert tab.axe() == []


def to_by_tab(tab: Tab, css: str) -> None:
    """Go on with the tabulator until that has the focus."""
    for _press in range(120):
        tab.page.keyboard.press("Tab")
        if tab.page.evaluate("(css) => document.activeElement.matches(css)", css):
            return
    raise AssertionError(f"{css} is not reached")


def at_work(browser, home: str) -> Tab:
    user = UserFactory(role="roaster")
    user.set_password(PASSWORD)
    user.save()
    tab = Tab(browser.new_context(viewport={"width": 1280, "height": 800}).new_page(), home)
    tab.go("/admin/login/")
    tab.page.fill("#id_username", user.username)
    tab.page.fill("#id_password", PASSWORD)
    tab.page.keyboard.press("Enter")
    tab.page.wait_for_url("**/admin/")
    return tab


@pytest.mark.parametrize(("width", "scripts"), [(320, True), (360, False), (1280, True)])
def test_from_question_to_why(browser, live_server, monkeypatch, width, scripts):
    world.roastery()
    lot, code = world.bag()
    guide = world.guide_for(lot).guide
    context = browser.new_context(viewport={"width": width, "height": 740}, java_script_enabled=scripts)
    phone = Tab(context.new_page(), live_server.url, scripts=scripts)

    phone.go(f"/L/{code}")
    if scripts:
        to_by_tab(phone, "#step-2 a.ask")
        phone.page.keyboard.press("Enter")
        phone.page.wait_for_url("**/ask/**")
        settled(phone)
        phone.go(phone.page.url.removeprefix(phone.home))  # axe has marked the page
        to_by_tab(phone, "#question")
        monkeypatch.setattr(form_token, "LEAST_S", 3600)  # as if no time had passed, however slow the machine
        phone.page.keyboard.type(WORDS)
        phone.page.keyboard.press("Tab")
        phone.page.keyboard.press("Enter")
        assert phone.page.input_value("#question") == WORDS, "too fast: told so, and nothing is lost"
        settled(phone)
        monkeypatch.setattr(form_token, "LEAST_S", -1)
        to_by_tab(phone, "form.question button")
        phone.page.keyboard.press("Enter")
        phone.page.wait_for_url("**/sent/**")
        settled(phone)
    else:
        phone.page.click("#step-2 a.ask")
        monkeypatch.setattr(form_token, "LEAST_S", -1)
        phone.page.fill("#question", WORDS)
        phone.page.click("form.question button")
    assert "Your question has arrived" in phone.page.inner_text("h1")
    phone.page.click("main a.button")
    assert phone.page.url.endswith("#step-2")
    assert WORDS not in phone.page.content()

    desk = at_work(browser, live_server.url)
    desk.go("/admin/guides/question/?state__exact=open")
    desk.page.click("#result_list tbody th a")
    assert desk.page.input_value("#id_shown") == WORDS
    desk.page.fill("#id_answer", ANSWER)
    desk.page.locator("#id_answer").press("Tab")
    to_by_tab(desk, "#content-main form input[type=submit]")
    desk.page.keyboard.press("Enter")
    desk.page.wait_for_url("**/question/")
    question = Question.objects.get()
    assert (question.state, question.lot, question.step) == ("answered", lot, 2)

    phone.page.reload()
    phone.page.click("#step-2 details.asked summary")
    assert ANSWER in phone.page.inner_text("#step-2")
    assert phone.page.context.cookies() == []
    if scripts:
        settled(phone)

    desk.go(f"/admin/guides/question/{question.pk}/act/note/")
    assert desk.page.input_value("#id_why") == ANSWER
    desk.page.fill("#id_why", "Slowly, because a stream that breaks digs holes. You'd notice the bed stays flat.")
    desk.page.click("#content-main input[type=submit]")
    desk.page.wait_for_url("**/guideversion/**")
    assert Guide.objects.get(pk=guide.pk).versions.get(state="draft").steps.get(position=2).why.startswith("Slowly")
    assert desk.quiet(), desk
    context.close()
    desk.page.context.close()


def test_the_desk_s_pages_read_well(browser, live_server):
    world.roastery()
    version = world.coffee_with_guide()
    from tests.factories.questions import answered, asked

    waiting, done = asked(version, step=2), answered(version, step=1)
    desk = at_work(browser, live_server.url)
    for width in (360, 1280):
        desk.resize(width)
        for address in (
            "/admin/guides/question/",
            f"/admin/guides/question/{waiting.pk}/change/",
            f"/admin/guides/question/{done.pk}/change/",
            *(f"/admin/guides/question/{done.pk}/act/{act}/" for act in ("answer", "note", "merge", "delete")),
        ):
            desk.go(address)
            assert desk.overflow() <= 0, (address, width)
            assert desk.quiet(), (address, desk)
            assert desk.axe() == [], (address, width)
            desk.refused.clear()
    desk.page.context.close()
