"""Whatever somebody types is text: nothing in it runs on a page, in the form, at the desk, in a preview or on paper.

The content policy is taken off, so that the texts meet one guard and not two; the last tests take off the other.
"""

from __future__ import annotations

import io
from collections.abc import Iterator

import pypdf
import pytest
from django.template import engines
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page

from guides.documents import insert, painting, render
from guides.lifecycle.tastings.reveal import reveal
from guides.models import CupNote, GuideVersion, Question, Taster, TrialBrew
from guides.models.cup_note import LONGEST_NOTE
from guides.presenters import tasting_addresses
from tests.admin.addresses import change
from tests.browser import Tab
from tests.factories import GuideVersionFactory, LotFactory, TrialBrewFactory, UserFactory, published
from tests.factories.guides import PULSES, add_steps
from tests.factories.packed import packed as bag_of
from tests.factories.questions import asked
from tests.factories.tastings import opened, seated
from tests.public import world

from .hostile import name, packed, texts

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

CORPUS = texts()
LISTEN = "window.runs = []; window.ran = ([name]) => { window.runs.push(name); };"


@pytest.fixture
def window(browser, live_server) -> Iterator[Tab]:
    """A window without the content policy."""
    world.roastery()
    context = browser.new_context(bypass_csp=True)
    context.add_init_script(LISTEN)
    yield Tab(context.new_page(), live_server.url)
    context.close()


def ran(page: Page) -> list[str]:
    """Names of the texts that ran, once all that is open has been opened and looked at."""
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    page.wait_for_timeout(300)
    found: list[str] = page.evaluate("window.runs")
    return found


def hostile_questions(version: GuideVersion) -> list[Question]:
    """The whole corpus as questions and answers, shown."""
    left, by = list(CORPUS), UserFactory(role="roaster")
    made = []
    while left:
        shown, answer = packed(left, 500), packed(left, 600) or "-"
        made.append(
            Question(
                version=version, step=2, step_numbers=asked_numbers(version), language="en", text=shown, shown=shown,
                answer=answer, answer_language="en", state="answered", answered_at=version.published_at, answered_by=by,
            )
        )  # fmt: skip
    return Question.objects.bulk_create(made)


def asked_numbers(version: GuideVersion) -> str:
    question = asked(version, step=2)
    question.delete()
    return question.step_numbers


def hostile_version() -> tuple[GuideVersion, int]:
    """A draft with as much of the corpus as its words hold, over many steps; and how many texts that is."""
    left = list(CORPUS)
    version = GuideVersionFactory(steps=(), title=packed(left, 80), summary=packed(left, 160))
    swirls = ({"start_s": 125, "end_s": 125, "action": "swirl", "turns": 1},) * 90
    steps = []
    for step in (*PULSES[:4], *swirls):
        words = {name: packed(left, longest) for name, longest in (("simple", 120), ("in_depth", 300), ("why", 300))}
        steps.append(step | words)
    add_steps(version, tuple(steps))
    version.in_depth, version.why = packed(left, 1500), packed(left, 600)
    version.save()
    return version, len(CORPUS) - len(left)


def staff_window(window: Tab) -> Tab:
    client = Client()
    client.force_login(UserFactory(role="publisher"))
    cookie = client.cookies["sessionid"]
    window.page.context.add_cookies([{"name": "sessionid", "value": cookie.value, "url": window.home}])
    return window


def test_there_are_enough_of_them():
    assert len(set(CORPUS)) == len(CORPUS) > 700


def test_in_questions_answers_and_the_form(window):
    version = world.coffee_with_guide()
    hostile_questions(version)
    address = f"/en/ask/{version.guide.number}.1/2/"
    window.go(address)
    assert ran(window.page) == []
    assert all(f"ran`{name(number)}`" in window.page.inner_text("main") for number in range(len(CORPUS)))
    whole = "\n".join(CORPUS)
    window.page.fill("#question", whole)
    window.page.click("form button")  # too long by far: it all comes back
    assert window.page.input_value("#question") == whole
    assert ran(window.page) == []
    window.go(f"/en/guides/{version.guide.slug}/")
    assert ran(window.page) == []
    print(f"{len(CORPUS)} texts as questions, answers and form: 0 ran")


def test_at_the_desk(window):
    version = world.coffee_with_guide()
    questions = hostile_questions(version)
    Question.objects.update(state="open")
    staff_window(window)
    for number in range(len(questions) // 50 + 1):
        window.go(f"/admin/guides/question/?p={number + 1}")
        assert "ran`" in window.page.inner_text("#result_list")
        assert ran(window.page) == []
    for question in questions[::12]:
        for tail in ("change/", "act/answer/", "act/merge/"):
            window.go(f"/admin/guides/question/{question.pk}/{tail}")
            assert ran(window.page) == []


def test_in_what_tasters_write(window):
    """Names and notes of a table, read by the desk, and a note that comes back in the form of whoever wrote it."""
    left, tasting = list(CORPUS), opened(count=4)
    cups = list(tasting.cups.all())
    while left:
        taster = seated(tasting)
        Taster.objects.filter(pk=taster.pk).update(name="<s onclick=ran``>", sent_at=timezone.now())
        notes = ((cup, packed(left, LONGEST_NOTE)) for cup in cups)
        CupNote.objects.bulk_create(CupNote(taster=taster, cup=cup, text=text) for cup, text in notes if text)
    waiting = seated(tasting)
    window.go(f"/en/taste/{tasting_addresses.token(tasting.number, waiting.seat)}/")
    whole = " ".join(CORPUS)[:LONGEST_NOTE]
    window.page.locator("textarea").first.fill(whole)
    window.page.click("text=Send my notes")  # without a choice: it all comes back
    assert window.page.locator("textarea").first.input_value() == whole
    assert ran(window.page) == []
    reveal(tasting, by=tasting.opened_by)
    staff_window(window)
    window.go(f"/admin/guides/tasting/{tasting.pk}/change/")
    page = window.page.inner_text("#content")
    assert all(f"ran`{name(number)}`" in page for number in range(len(CORPUS)))
    assert ran(window.page) == []
    print(f"{len(CORPUS)} texts as notes on cups: 0 ran")


def test_in_what_is_said_of_trial_brews(window):
    left, version = list(CORPUS), world.coffee_with_guide()
    brews = []
    while left:
        brews.append(TrialBrewFactory.build(
            of=version, lot=version.guide.coffee.lots.first() or LotFactory(coffee=version.guide.coffee),
            brewed_by=version.created_by, brewer=version.brewer, taste=packed(left, 300), water_used=packed(left, 120),
        ))  # fmt: skip
    made = TrialBrew.objects.bulk_create(brews)
    staff_window(window)
    bench = f"/admin/guides/trialbrew/bench/?coffee={version.guide.coffee_id}&brewer={version.brewer_id}&all=yes"
    compared = "&".join(f"trial={brew.pk}" for brew in made[:6])
    for address in (bench, f"/admin/guides/trialbrew/compare/?{compared}", change(made[0])):
        window.go(address)
        assert "ran`" in window.page.content()
        assert ran(window.page) == []


def test_in_a_guide_and_its_preview(window):
    version, texts_in_it = hostile_version()
    staff_window(window)
    for tail in ("change/", "preview/"):
        window.go(f"/admin/guides/guideversion/{version.pk}/{tail}")
        assert ran(window.page) == []
    published(version)
    window.go(f"/en/guides/{version.guide.slug}/")
    assert window.page.locator("tr[id^=step-]").count() == 94
    assert ran(window.page) == []
    print(f"{texts_in_it} of {len(CORPUS)} texts as words of a guide: 0 ran")
    assert texts_in_it > 700


def test_on_paper(window, monkeypatch):
    """The PDF engine runs no script; its document is read here by an engine that would."""
    documents: list[str] = []

    class Draft(render.Draft):
        def __init__(self, html: str, sheets: tuple[str, ...]) -> None:
            documents.append(html)
            super().__init__(html, sheets)

    monkeypatch.setattr(painting, "Draft", Draft)
    version, _texts = hostile_version()
    with pytest.raises(insert.InsertRefused):  # ninety steps are too many for a card
        insert.insert_pdf(*bag_of(published(version)), "en")
    window.page.set_content(documents[0])
    assert documents[0].count("ran`") > 90
    assert ran(window.page) == []

    short = [text for text in CORPUS if "javascript" in text][:5]
    steps = tuple(step | {"simple": text} for step, text in zip(PULSES, short, strict=True))
    pdf = insert.insert_pdf(*bag_of(published(steps=steps, title=short[0])), "en")
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    names = {name for page in reader.pages for name in page} | set(reader.trailer["/Root"])
    assert not names & {"/AA", "/OpenAction", "/JavaScript", "/Annots"}
    assert b"/JavaScript" not in pdf
    assert "javascript" in reader.pages[0].extract_text()


def test_with_escaping_off_they_run_and_the_policy_still_stops_them(window, tab, monkeypatch):
    """The negative control, and the second guard behind the first."""
    version = world.coffee_with_guide()
    hostile_questions(version)
    monkeypatch.setattr(engines["django"].engine, "autoescape", False)
    window.go(f"/en/ask/{version.guide.number}.1/2/")
    unguarded = set(ran(window.page))
    tab.page.add_init_script(LISTEN)
    tab.go(f"/en/ask/{version.guide.number}.1/2/")
    behind = ran(tab.page)
    print(f"escaping off: {len(unguarded)} ran without the policy, {len(behind)} behind it")
    assert unguarded
    assert behind == []
    assert tab.refused
