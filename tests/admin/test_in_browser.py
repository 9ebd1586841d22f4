"""The desk in a real browser: written by hand, without anything inline, readable by all, usable on a phone."""

from __future__ import annotations

import pytest

from guides.lifecycle import assign, lots, review
from guides.lifecycle import draft as draft_next
from guides.models import ApiToken, GuideVersion, Lot, Roastery, StepText, User, Webhook
from tests.browser import Tab
from tests.factories import (
    BrewerFactory,
    GrinderFactory,
    GuideVersionFactory,
    LotFactory,
    TrialBrewFactory,
    UserFactory,
    ValveVersionFactory,
    published,
)
from tests.factories.programs import issued, told

from .addresses import act, add, change

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

_PASSWORD = "mossgull-by-the-sea"


def _log_in(tab: Tab, user: User) -> None:
    user.set_password(_PASSWORD)
    user.save()
    tab.go("/admin/login/")
    tab.page.fill("#id_username", user.username)
    tab.page.fill("#id_password", _PASSWORD)
    tab.page.click("[type=submit]")


@pytest.fixture
def world() -> dict[str, str]:
    """A page of every kind: its name and address."""
    Roastery.objects.create(name="Mossgull Roasting Room")
    roaster = UserFactory(role="roaster")
    draft = ValveVersionFactory()
    broken = GuideVersionFactory(water_g="260.0")
    waiting = review.submit(GuideVersionFactory(), by=roaster)
    printed = published()
    revised = draft_next.open_next(printed.guide, by=roaster)
    revised.kettle_c, revised.summary = "96.0", "Clear, floral and light."
    revised.save()
    review.submit(revised, by=roaster, note="Cooler for the new crop.")
    review.send_back(revised, by=UserFactory(role="publisher"), comments=[review.Comment("How far to swirl?", step=4)])
    lot = lots.register(LotFactory.build(coffee=printed.guide.coffee), by=roaster)
    assign.assign(lot, printed.guide, by=roaster)
    brew = TrialBrewFactory(of=printed, check=True)
    grinder = GrinderFactory()
    return {
        "start": "/admin/", "guides": "/admin/guides/guide/", "lots": "/admin/guides/lot/",
        "versions": "/admin/guides/guideversion/?state__exact=draft", "events": "/admin/guides/event/",
        "draft": change(draft), "broken draft": change(broken), "in review": change(waiting),
        "published": change(printed), "guide": change(printed.guide), "lot": change(lot), "new lot": add(Lot),
        "new version": add(GuideVersion), "trial brew": change(brew), "grinder": change(grinder),
        "brewer": change(draft.brewer), "cone": change(draft.brewer.vessel), "submit": act(draft, "submit"),
        "publish": act(waiting, "publish"), "withdraw": act(printed, "withdraw"), "recall": act(lot, "recall"),
        "review": change(waiting).replace("change", "review"), "approve": act(waiting, "approve"),
        "return": act(waiting, "send-back"), "difference": change(revised).replace("change", "difference"),
        "token": change(issued("evidence")[0]), "new token": add(ApiToken), "webhook": change(told()),
        "new webhook": add(Webhook), "try it": act(Webhook.objects.get(), "try"),
        "returned": change(revised), "history": change(printed).replace("change", "history"),
        "roastery": "/admin/guides/roastery/1/change/",
        "user": change(roaster), "new user": "/admin/guides/user/add/", "password": "/admin/password_change/",
        "delete": change(draft).replace("change", "delete"), "preview": change(draft).replace("change", "preview"),
    }  # fmt: skip


def test_every_page_keeps_the_policy_fits_a_phone_and_pleases_axe(tab, world):
    tab.go("/admin/login/")
    assert tab.axe() == []
    _log_in(tab, UserFactory(is_superuser=True))
    for width in (1280, 360):
        tab.resize(width)
        for name, address in world.items():
            assert tab.go(address).status == 200, name
            assert tab.quiet(), (name, tab)
            assert tab.overflow() <= 0, (name, width)
            if width == 360 or name in ("start", "draft", "lots"):  # wide, only these are laid out differently
                assert tab.axe() == [], (name, width)
            tab.refused.clear()


@pytest.mark.parametrize("width", [360, 1280])
def test_translations_of_every_kind_fit_and_please_axe(tab, width):
    """A missing one, an outdated one with its tick and what it was made from, and one that was refused."""
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])
    draft = GuideVersionFactory()
    StepText.objects.create(step=draft.steps.first(), language="sv", why="Släpper ut gasen.")
    draft.steps.filter(position=1).update(why="Wets every ground.")
    _log_in(tab, UserFactory(role="roaster"))
    tab.resize(width)
    tab.go(change(draft).replace("change", "translations"))
    assert "outdated" in tab.page.inner_text(".outdated")
    tab.page.fill("[name='fi:title']", "Kaada 192 g")
    tab.page.click("#translations_form [type=submit]")
    tab.page.wait_for_selector(".errorlist")
    assert tab.page.input_value("[name='fi:title']") == "Kaada 192 g"
    assert tab.quiet(), tab
    assert tab.overflow() <= 0
    assert tab.axe() == []


def test_the_policy_would_be_noticed_if_broken(tab, world):
    """Negative control: an inline style and script are refused and seen, and axe finds a field without a name."""
    _log_in(tab, UserFactory(is_superuser=True))
    tab.go("/admin/")
    tab.page.evaluate(
        'document.body.insertAdjacentHTML(\'beforeend\', \'<input style="color:red"><img onerror="x()" src="/no">\')'
    )
    expected = {"style-src-attr", "script-src-attr"}
    assert tab.comes_true(lambda: {refusal.split()[0] for refusal in tab.refused} == expected)
    assert any(found.startswith("label") for found in tab.axe())


def test_targets_are_large_enough_for_a_thumb(tab, world):
    """44 CSS pixels: WCAG 2.2, success criterion 2.5.5 (enhanced)."""
    _log_in(tab, UserFactory(is_superuser=True))
    tab.resize(360)
    for name in ("draft", "lot", "submit", "recall", "published"):
        tab.go(world[name])
        small = tab.page.evaluate(
            """() => [...document.querySelectorAll(
                 '#content .button, #content [type=submit], #content select, #content input.clock, .object-tools a'
               )].filter((one) => one.offsetParent && one.getBoundingClientRect().height < 44)
               .map((one) => one.outerHTML.slice(0, 120))"""
        )
        assert small == [], name


def test_a_roaster_makes_a_lot_and_a_guide_and_a_publisher_publishes_it(tab, browser, live_server):
    roaster, publisher = UserFactory(role="roaster"), UserFactory(role="publisher")
    brewer = BrewerFactory(name="Mast cone")
    page = tab.page
    _log_in(tab, roaster)

    tab.go("/admin/guides/coffee/add/")
    page.fill("#id_name", "Outer Mark")
    page.fill("#id_code", "OM")
    page.click("[name=_save]")

    tab.go(add(Lot))
    page.fill("#id_name", "OM-071")
    page.select_option("#id_coffee", label="Outer Mark")
    page.fill("#id_roasted_on", "2026-01-10")
    page.fill("#id_green_kg", "12")
    page.fill("#id_loss_percent", "-1")
    page.click("[name=_continue]")
    assert "Roast loss: 0 to 50 %" in page.inner_text(".field-loss_percent ul.errorlist")
    assert page.input_value("#id_name") == "OM-071"
    page.fill("#id_loss_percent", "11.9")
    page.click("[name=_continue]")
    assert Lot.objects.get().addresses.get().code in page.inner_text(".printed")

    tab.go("/admin/guides/guide/add/")
    page.select_option("#id_coffee", label="Outer Mark")
    page.click("[name=_save]")
    page.fill("#id_title", "Outer Mark in the Mast cone")
    page.select_option("#id_brewer", str(brewer.pk))
    for name, value in {"dose_g": "16", "grind_um": "660", "kettle_c": "97", "water_g": "264"}.items():
        page.fill(f"#id_{name}", value)
    times = [("0:00", "0:10", "48"), ("45", "60", "120"), ("1:15", "1:30", "192"), ("1:45", "2:00", "264")]
    for _ in range(4):
        page.click("text=Add a step")
    for index, (start, end, grams) in enumerate([*times, ("2:05", "2:05", "")]):
        page.fill(f"#id_steps-{index}-start_s", start)
        page.fill(f"#id_steps-{index}-end_s", end)
        page.fill(f"#id_steps-{index}-target_g", grams)
    page.select_option("#id_steps-4-action", label="swirl")
    page.fill("#id_steps-3-target_g", "260")
    page.click("[name=_continue]")
    assert "the last pour ends at 260" in page.inner_text("#steps-3 ul.errorlist")
    page.click(".check .findings a")
    page.fill("#id_steps-3-target_g", "264")
    page.click("[name=_then][value=submit]")
    assert "Submit for review" in page.inner_text("h1")
    page.click("#content [type=submit]")
    assert "waits for review" in page.inner_text(".messagelist")
    assert tab.quiet(), tab

    other = Tab(browser.new_context().new_page(), live_server.url)
    _log_in(other, publisher)
    version = GuideVersion.objects.get()
    other.go(change(version))
    other.page.click("text=Publish")
    other.page.fill("#id_waiver_reason", "Brewed it at the bench this morning.")
    other.page.click("#content [type=submit]")
    assert "Published as revision 1" in other.page.inner_text(".locked")
    assert other.page.locator("#content input:visible").count() == 0
    assert other.quiet(), other
    other.page.context.close()


def test_the_desk_works_without_scripts(browser, live_server):
    draft = GuideVersionFactory()
    context = browser.new_context(java_script_enabled=False)
    tab = Tab(context.new_page(), live_server.url, scripts=False)
    _log_in(tab, UserFactory(role="roaster"))
    tab.go(change(draft))
    tab.page.fill("#id_steps-5-start_s", "2:20")
    tab.page.fill("#id_steps-5-end_s", "2:25")
    tab.page.select_option("#id_steps-5-action", label="stir")
    tab.page.click("[name=_continue]")
    assert [step.action for step in draft.steps.all()] == ["pour", "pour", "pour", "pour", "swirl", "stir"]
    context.close()
