"""A junior roaster's draft under a second pair of eyes: returned, mended, brewed, approved, published at a time."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.core.management import call_command
from django.utils import timezone

from guides.calculations.presets import Method
from guides.choices import Follow
from guides.jobs import due
from guides.lifecycle import address, starting
from guides.models import Assignment, Brewer, Guide, GuideVersion, Lot, Roastery, TrialBrew
from tests.admin.addresses import act, add, change
from tests.browser import Tab
from tests.factories import BrewerFactory, GuideFactory, GuideVersionFactory, LotFactory, published

from .people import at_work, enter, looks_right, tab_to

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
_ASKED = "Say how far apart the pours are."
_NOTE = "Hotter by two degrees for the new crop; watch when it has drained."


@pytest.fixture
def on_bags() -> tuple[Lot, GuideVersion]:
    """Revision 1 is on the inserts of a lot: the usual pulses, two degrees cooler than usual."""
    Roastery.objects.create(name="Mossgull Roasting Room")
    guide = GuideFactory()
    lot = LotFactory(coffee=guide.coffee)  # first, for a usual plan goes by how fresh the newest lot is
    old = published(_usual(guide, BrewerFactory(name="Mast cone")))
    address.issue(lot)
    Assignment.objects.create(lot=lot, guide=guide, follow=Follow.NEWEST)
    return lot, old


def _usual(guide: Guide, brewer: Brewer) -> GuideVersion:
    plan = starting.plan_for(Method.PULSES, brewer, guide)
    kept = ("start_s", "end_s", "target_g", "height", "path", "turns", "anchor", "action")
    steps = [{name: getattr(step, name) for name in kept} for step in plan.steps]
    return GuideVersionFactory(
        guide=guide,
        brewer=brewer,
        dose_g=plan.dose_g,
        water_g=plan.water_g,
        bypass_g=plan.bypass_g,
        kettle_c=plan.kettle_c - 2,
        grind_um=plan.grind_um,
        steps=tuple({**step, "height": step["height"] or "", "path": step["path"] or ""} for step in steps),
    )


def test_from_a_juniors_draft_to_what_an_old_card_is_told(browser, live_server, on_bags) -> None:
    lot, old = on_bags
    junior = at_work(browser, live_server.url, "roaster", first_name="Sanni")
    head = at_work(browser, live_server.url, "publisher", first_name="Ilmo")
    head.resize(360, 740)

    draft = _write_and_submit_by_keyboard(junior, old.guide)
    _return_with_a_comment(head, draft)
    _mend_and_submit_again(junior, draft)
    _brew_from_it(head, draft, lot)
    _approve_and_set_a_time(head, draft)

    assert due.start_due() == 0, "its time has not come"
    draft.refresh_from_db()
    with time_machine.travel(draft.publish_at + datetime.timedelta(seconds=30)):
        assert due.start_due() == 1
        call_command("work", burst=True)
    draft.refresh_from_db()
    assert (draft.state, draft.revision) == ("published", 2)
    _read_the_old_card(browser, live_server.url, lot, old)


def _write_and_submit_by_keyboard(tab: Tab, guide: Guide) -> GuideVersion:
    page, brewer = tab.page, Brewer.objects.get()
    tab.go(f"{add(GuideVersion)}?guide={guide.pk}")
    tab_to(tab, f"button[name=plan][value='pulses:{brewer.pk}']")
    enter(tab)
    tab_to(tab, "#id_summary")
    page.keyboard.type("Clear and floral.")
    looks_right(tab)
    tab_to(tab, "[name=_continue]")
    enter(tab)
    tab_to(tab, "[name=_then][value=submit]")
    enter(tab)
    tab_to(tab, "#id_note")
    page.keyboard.type(_NOTE)
    looks_right(tab)
    tab_to(tab, "#content [type=submit]")
    enter(tab)
    assert "In review since" in page.inner_text(".locked")
    looks_right(tab)
    return GuideVersion.objects.get(guide=guide, state="in_review")


def _return_with_a_comment(tab: Tab, draft: GuideVersion) -> None:
    page = tab.page
    tab.go("/admin/")
    looks_right(tab)
    page.click(f"#content a[href='{_review(draft)}']")
    words = " ".join(page.inner_text("#content").split())
    assert _NOTE in words
    assert "Submitted by Sanni" in words
    assert "Nobody has logged a check brew" in words
    looks_right(tab)
    page.click(f"a[href='{act(draft, 'send-back')}']")
    page.fill("#id_step_2", _ASKED)
    looks_right(tab)
    page.click("#content [type=submit]")
    assert page.locator(".locked").count() == 0


def _mend_and_submit_again(tab: Tab, draft: GuideVersion) -> None:
    page = tab.page
    tab.go(change(draft))
    assert page.inner_text("#steps-2 .review-comment") == f"Ilmo asks: {_ASKED}"
    looks_right(tab)
    page.click("#steps-2 summary")
    page.fill("#id_steps-2-simple", "Pour again when the last water has just gone from sight.")
    page.click("text=Save, and mark done")
    assert "Saved, and the comment is marked done." in page.inner_text(".messagelist")
    assert page.locator(".review-comment").count() == 0
    assert "done by Sanni" in page.inner_text("#comments")
    looks_right(tab)
    page.click("[name=_then][value=submit]")
    page.click("#content [type=submit]:not([name=_then])")
    assert "In review since" in page.inner_text(".locked")


def _brew_from_it(tab: Tab, draft: GuideVersion, lot: Lot) -> None:
    page = tab.page
    tab.go(_review(draft))
    assert "done by Sanni" in page.inner_text("#content")
    page.click("text=Log a check brew")
    looks_right(tab)
    page.click("[name=_save]")
    brew = TrialBrew.objects.get()
    draft.refresh_from_db()
    assert (brew.version, brew.lot, brew.brewer, brew.is_check_brew) == (draft, lot, draft.brewer, True)
    for name in ("dose_g", "water_g", "bypass_g", "kettle_c", "grind_um"):
        assert getattr(brew, name) == getattr(draft, name), name
    assert page.url.endswith(_review(draft))
    assert "Check brew by Ilmo" in page.inner_text("#content")


def _approve_and_set_a_time(tab: Tab, draft: GuideVersion) -> None:
    page = tab.page
    page.click(f"a[href='{act(draft, 'approve')}']")
    assert "Not needed: it has been brewed" in page.inner_text("#content")
    looks_right(tab)
    page.click("#content [type=submit]")
    page.click(f"a[href='{act(draft, 'schedule')}']")
    soon = timezone.localtime() + datetime.timedelta(minutes=10)
    page.fill("#id_publish_at", f"{soon:%Y-%m-%dT%H:%M}")
    looks_right(tab)
    page.click("#content [type=submit]")
    assert "To be published on" in page.inner_text("#content")
    looks_right(tab)


def _read_the_old_card(browser, home: str, lot: Lot, old: GuideVersion) -> None:
    phone = Tab(browser.new_context(viewport={"width": 360, "height": 740}).new_page(), home)
    phone.go(f"/L/{lot.addresses.get().code}/{old.guide.number}.1.EN")
    said = " ".join(phone.page.inner_text("main").split())  # no-break spaces too
    assert "Your card is revision 1; this page shows revision 2." in said
    assert f"Revision 2 changed this one number: kettle {old.kettle_c:.0f} → {old.kettle_c + 2:.0f} °C" in said
    looks_right(phone)


def _review(draft: GuideVersion) -> str:
    return change(draft).replace("change", "review")
