"""From a guide to a brew by the clock, logged one-handed on a phone, repeated with one change, compared, a draft."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator

from guides.calculations.plan import Action
from guides.lifecycle import brewed_plan
from guides.models import GuideVersion, Roastery, TrialBrew
from tests.admin.addresses import act
from tests.browser import Tab
from tests.factories import LotFactory, ValveBrewerFactory, ValveVersionFactory, published

from .people import at_work, looks_right

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MOST_TAPS, MOST_TO_REPEAT, MOST_TO_A_DRAFT = 6, 2, 3


@pytest.fixture
def printed() -> GuideVersion:
    Roastery.objects.create(name="Mossgull Roasting Room")
    version = published(ValveVersionFactory(brewer=ValveBrewerFactory(name="Tidegate S")))
    LotFactory(coffee=version.guide.coffee)
    return GuideVersion.objects.get(pk=version.pk)


def test_a_junior_dials_in_on_a_phone(browser, live_server, printed) -> None:
    junior = at_work(browser, live_server.url, "roaster", first_name="Sanni")
    junior.resize(360, 740)
    junior.go("/admin/guides/trialbrew/plan/")
    looks_right(junior)
    junior.page.get_by_role("link", name=str(printed)).click()
    looks_right(junior)

    first = _brew_and_log(junior, taste="Sour")
    assert (first.version, first.repeats) == (printed, None)
    taps = _repeat_with_one_change(junior, first)
    second = _brew_and_log(junior, taste="Balanced")
    assert taps + 1 <= MOST_TO_REPEAT, "and the one that begins to brew it"
    assert (second.repeats, second.grind_um) == (first, 690)
    looks_right(junior)

    junior.page.get_by_role("link", name="Compare with the brew it repeats").click()
    junior.page.get_by_text("Grind: 690").wait_for()
    looks_right(junior)
    junior.resize(1280, 800)
    looks_right(junior)
    _make_a_draft(junior, second)


def _tapped(control: Locator) -> int:
    """Tap what leads to another page."""
    with control.page.expect_navigation():
        control.click()
    return 1


def _brew_and_log(tab: Tab, taste: str) -> TrialBrew:
    """Brew by the clock, on a clock that is moved; count what is tapped between the first pour and the last drop."""
    before = set(TrialBrew.objects.values_list("pk", flat=True))
    page = tab.page
    page.clock.install()
    page.get_by_role("button", name="Brew it").click()
    page.get_by_role("button", name="Start pouring").wait_for()
    looks_right(tab)
    page.get_by_role("button", name="Start pouring").click()
    taps = 1
    main = page.locator("[data-part=main]")
    for moment_s, control in ((77, main), (2, page.locator("[data-part=drip]")), (96, main), (8, main)):
        page.clock.fast_forward(1000 * moment_s)
        page.clock.run_for(500)
        box = control.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44
        control.click()
        taps += 1
    page.clock.run_for(500)
    assert taps <= MOST_TAPS
    page.locator("#brew[data-stage=after]").wait_for()
    page.locator("[data-question=strength]").get_by_text("right").click()
    page.locator("[data-question=balance]").get_by_text(taste.lower()).click()
    page.locator("[data-question=feel]").get_by_text("thin" if taste == "Sour" else "round").click()
    for _ in range(4):
        page.get_by_role("button", name="More water").click()
    looks_right(tab)
    page.get_by_role("link", name="Log this brew").click()
    looks_right(tab)
    page.locator("#id_taste").fill(f"{taste} as it cools")
    page.get_by_role("button", name="Save", exact=True).click()
    page.locator(".messagelist").wait_for()
    brew = TrialBrew.objects.exclude(pk__in=before).get()
    assert brew.taste == f"{taste} as it cools"
    assert brew.balance == ("sour_thin" if taste == "Sour" else "balanced")
    assert brew.bypass_g == 40
    assert brew.opened_s is not None
    assert 75 <= brew.opened_s <= 80
    assert brew.first_drip_s is not None
    assert brew.opened_s <= brew.first_drip_s <= brew.opened_s + 5
    assert brew.drained_s is not None
    assert 165 <= brew.drained_s <= 185
    assert [pour[2] for pour in brew.pours] == [60, 120, 180]
    assert brew.flow_factor is not None
    return brew


def _to_the_bench(tab: Tab, brew: TrialBrew) -> None:
    tab.go(f"/admin/guides/trialbrew/bench/?coffee={brew.lot.coffee_id}&brewer={brew.brewer_id}")
    looks_right(tab)


def _repeat_with_one_change(tab: Tab, brew: TrialBrew) -> int:
    """Give the taps from the bench to a plan with one number of yesterday's brew changed."""
    _to_the_bench(tab, brew)
    taps = _tapped(tab.page.get_by_role("link", name="Repeat").first)
    tab.page.locator("#id_grind_um").fill("690")
    return taps


def _make_a_draft(tab: Tab, brew: TrialBrew) -> None:
    """From the bench, with nothing typed."""
    _to_the_bench(tab, brew)
    taps = _tapped(tab.page.get_by_role("link", name="Look at").first)
    looks_right(tab)
    taps += _tapped(tab.page.get_by_role("link", name="Make a draft from this brew"))
    assert tab.page.url.endswith(act(brew, "open-draft"))
    looks_right(tab)
    taps += _tapped(tab.page.get_by_role("button", name="Make a draft from this brew"))
    tab.page.get_by_text("Opened from the trial brew").wait_for()
    assert taps <= MOST_TO_A_DRAFT
    looks_right(tab)
    draft = GuideVersion.objects.get(state="draft")
    assert draft.grind_um == 690
    opens = [step for step in brewed_plan.brewed_plan(brew).steps if step.action is Action.OPEN]
    assert draft.steps.get(action="open").start_s == round(opens[0].start_s)
