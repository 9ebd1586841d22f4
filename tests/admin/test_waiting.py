"""The start of the desk answers a roaster's questions: what waits for me, and what has been forgotten?"""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from guides.admin import waiting
from guides.admin.waiting import MOST_LINES
from guides.choices import JobState, Opened
from guides.lifecycle import approve, assign, draft, recall, review, schedule, writers
from guides.models import GuideOpens, JobRun, Lot, Question, Roastery, TrialBrew
from guides.queries import desk_work
from tests.factories import GuideVersionFactory, LotFactory, TrialBrewFactory, UserFactory, published
from tests.factories.questions import asked

from .addresses import act

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def seen(user) -> dict[str, list[str]]:
    """What waits for somebody: the words of each line by section."""
    return {section.key: [line.text for line in section.lines] for section in waiting.sections(user)}


def test_an_empty_desk_says_so(at_desk, text_of):
    assert "Nothing waits for you." in text_of(at_desk().get("/admin/"))


# Mine


def test_a_draft_is_mine_until_it_is_in_review_and_comes_back_with_its_reason(roaster, publisher, at_desk, text_of):
    version = GuideVersionFactory(created_by=roaster, title="Small cone")
    assert seen(roaster)["drafts"] == ["Small cone"]
    assert "drafts" not in seen(publisher)
    review.submit(version, by=roaster)
    assert "drafts" not in seen(roaster)
    assert seen(publisher)["approve"] == ["Small cone"]
    review.send_back(version, by=publisher, reason="Say how far to stir.")
    assert seen(roaster)["returned"] == ["Small cone"]
    assert "drafts" not in seen(roaster)
    assert "Say how far to stir." in text_of(at_desk(roaster).get("/admin/"))


def test_taking_back_my_own_is_no_return(roaster):
    version = GuideVersionFactory(created_by=roaster)
    review.submit(version, by=roaster)
    review.send_back(version, by=roaster, reason="One more thought.")
    assert set(seen(roaster)) == {"drafts"}


def test_whoever_submitted_it_hears_of_its_return_too(roaster, publisher):
    other = UserFactory(role="roaster")
    version = review.submit(GuideVersionFactory(created_by=roaster), by=other)
    review.send_back(version, by=publisher, reason="Too hot.")
    assert "returned" in seen(roaster)
    assert "returned" in seen(other)


def test_nobody_is_asked_to_approve_their_own(publisher):
    review.submit(GuideVersionFactory(created_by=publisher), by=publisher)
    review.submit(GuideVersionFactory(), by=publisher)
    assert "approve" not in seen(publisher)


def test_what_is_approved_waits_to_be_published_and_no_longer_for_a_brew(roaster, publisher, at_desk, text_of):
    version = review.submit(GuideVersionFactory(title="By another"), by=UserFactory(role="roaster"))
    approve.approve(version, by=publisher, waiver_reason="Brewed it at the bench this morning.")
    for other in (publisher, UserFactory(role="publisher")):
        assert seen(other)["publish"] == ["By another"]
        assert "approve" not in seen(other)
    assert f"approved by {publisher.display_name}" in text_of(at_desk(publisher).get("/admin/"))
    assert not {"brew", "publish"} & set(seen(roaster))


def test_what_has_a_time_set_waits_for_nobody(roaster, publisher):
    version = review.submit(GuideVersionFactory(), by=UserFactory(role="roaster"))
    version = approve.approve(version, by=publisher, waiver_reason="Brewed it at the bench this morning.")
    later = timezone.now() + datetime.timedelta(days=1)
    version = schedule.schedule(version, by=publisher, publish_at=later)
    assert not {"approve", "publish", "brew"} & (set(seen(publisher)) | set(seen(roaster)))
    schedule.call_off(version, by=publisher, reason="The bags are late.")
    assert set(seen(publisher)) == {"publish"}


def test_a_brew_by_whoever_changed_the_draft_is_no_check(roaster, publisher):
    version = GuideVersionFactory(title="By two")
    writers.record_edit(version, by=roaster)
    version = review.submit(version, by=version.created_by)
    other = UserFactory(role="roaster")
    TrialBrewFactory(of=version, check=True, brewed_by=roaster)
    assert seen(other)["brew"] == ["By two"]
    assert not desk_work.to_approve_by(publisher).get().is_brewed
    TrialBrewFactory(of=version, check=True, brewed_by=other)
    assert "brew" not in seen(UserFactory(role="roaster"))
    assert desk_work.to_approve_by(publisher).get().is_brewed


def test_whoever_changed_a_draft_is_not_asked_to_approve_it(publisher):
    version = GuideVersionFactory()
    writers.record_edit(version, by=publisher)
    review.submit(version, by=version.created_by)
    assert "approve" not in seen(publisher)


def test_a_roaster_is_asked_to_brew_from_what_others_submitted(roaster):
    version = review.submit(GuideVersionFactory(title="By another"), by=UserFactory(role="roaster"))
    assert seen(roaster)["brew"] == ["By another"]
    TrialBrewFactory(of=version, check=True, brewed_by=version.created_by)
    assert seen(roaster)["brew"] == ["By another"], "its writer's brew is no check"
    TrialBrewFactory(of=version, check=True, brewed_by=roaster)
    assert "brew" not in seen(roaster)


# Forgotten


def test_a_lot_without_a_guide(roaster, publisher):
    version = published()
    served, bare, gone = (LotFactory(coffee=version.guide.coffee) for _ in range(3))
    assign.assign(served, version.guide, by=roaster)
    recall.recall(gone, by=publisher, reason="A screw may be in it.")
    assert seen(roaster)["unguided"] == [bare.name]


def test_a_guide_without_a_check_brew_of_the_newest_lot(roaster):
    version = published(title="Pulses")
    today = timezone.localdate()
    coffee = version.guide.coffee
    older = LotFactory(coffee=coffee, roasted_on=today - datetime.timedelta(days=9))
    newest = LotFactory(coffee=coffee, roasted_on=today - datetime.timedelta(days=2))
    TrialBrewFactory(of=version, lot=older, check=True)
    TrialBrewFactory(of=version, lot=newest)
    assert seen(roaster)["unchecked"] == ["Pulses"], "another lot's brew, or one that is no check, does not count"
    TrialBrewFactory(of=version, lot=newest, check=True)
    assert "unchecked" not in seen(roaster)


def test_a_recalled_lot_is_not_the_newest_and_a_held_guide_is_decided(roaster, publisher):
    version = published()
    lot = LotFactory(coffee=version.guide.coffee)
    assert "unchecked" in seen(roaster)
    held = assign.assign(lot, version.guide, by=roaster)
    assign.hold(held, by=roaster, reason="Drains late.")
    assert "unchecked" not in seen(roaster)
    assign.release(held, by=roaster)
    assert "unchecked" in seen(roaster)
    recall.recall(lot, by=publisher, reason="A screw may be in it.")
    assert "unchecked" not in seen(roaster)


def test_a_check_brew_holds_for_the_next_revision_only_while_the_numbers_do(roaster):
    from guides.lifecycle import draft

    first = published()
    lot = LotFactory(coffee=first.guide.coffee)
    TrialBrewFactory(of=first, lot=lot, check=True)
    published(draft.open_next(first.guide, by=roaster))
    assert "unchecked" not in seen(roaster)
    finer = draft.open_next(first.guide, by=roaster)
    finer.grind_um = 600
    finer.save()
    published(finer)
    assert "unchecked" in seen(roaster)


def test_the_line_leads_to_a_check_brew_with_everything_filled_in(roaster, at_desk, filled):
    version = published()
    lot = LotFactory(coffee=version.guide.coffee)
    (section,) = [section for section in waiting.sections(roaster) if section.key == "unchecked"]
    desk = at_desk(roaster)
    fields = filled(desk, section.lines[0].address)
    assert desk.post("/admin/guides/trialbrew/add/", fields).status_code == 302
    brew = TrialBrew.objects.get()
    assert (brew.lot, brew.version, brew.is_check_brew, brew.brewed_by) == (lot, version, True, roaster)
    assert "unchecked" not in seen(roaster)


# Windows: a light roast is at its best from day 10 to day 30 (common practice, no source).


@pytest.mark.parametrize(
    ("age", "said"),
    [
        (2, None),
        (3, "from"),
        (10, "from"),
        (13, "from"),
        (14, None),
        (22, None),
        (23, "last"),
        (33, "last"),
        (34, None),
    ],
)
def test_a_lot_at_an_edge_of_its_window(packer, at_desk, text_of, age, said):
    LotFactory(roasted_on=timezone.localdate() - datetime.timedelta(days=age))
    page = text_of(at_desk(packer).get("/admin/"))
    assert ("at its best from" in page) is (said == "from")
    assert ("last best day" in page) is (said == "last")


def test_a_lots_own_days_come_first(packer):
    lot = LotFactory(rest_days=1, best_days=100, roasted_on=timezone.localdate() - datetime.timedelta(days=10))
    assert "windows" not in seen(packer)
    Lot.objects.filter(pk=lot.pk).update(rest_days=9)
    assert seen(packer)["windows"] == [lot.name]


# Translations


def test_what_is_left_to_translate_waits_with_the_version_to_go_on_with(roaster, at_desk):
    Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv"])
    GuideVersionFactory(title="Still a first draft")
    first = published(title="First")
    assert seen(roaster)["translations"] == ["First"]
    second = draft.open_next(first.guide, by=roaster)
    second.title = "Second"
    second.save()
    assert seen(roaster)["translations"] == ["Second"], "its open draft, not what is published"
    published(second)
    assert seen(roaster)["translations"] == ["Second"], "the newest revision"
    listed = at_desk(roaster).get("/admin/guides/guideversion/?translation=behind").context["cl"].queryset
    assert [version.pk for version in listed] == [second.pk]
    Roastery.objects.update(languages=["en"])
    assert "translations" not in seen(roaster)


# Opens


def test_what_customers_open_is_shown_as_counted(reader, at_desk, text_of):
    today = timezone.localdate()
    often, seldom = published(title="Often").guide, published(title="Seldom").guide
    for guide, days_ago, what, times in (
        (often, 0, Opened.PAGE, 40),
        (often, 27, Opened.PAGE, 2),
        (often, 28, Opened.PAGE, 500),
        (often, 1, Opened.BREWING, 1),
        (seldom, 3, Opened.PAGE, 1),
    ):
        GuideOpens.objects.create(guide=guide, day=today - datetime.timedelta(days=days_ago), what=what, times=times)
    for days_ago in (0, 27, 28):
        question = asked(often.versions.get(), text=f"What of {days_ago} days ago?")
        then = timezone.now() - datetime.timedelta(days=days_ago)
        Question.objects.filter(pk=question.pk).update(asked_at=then)
    assert seen(reader)["opens"] == ["Often", "Seldom"]
    desk = at_desk(reader)
    page = text_of(desk.get("/admin/"))
    assert "opened 42 times, brewed along once, 2 questions" in page
    assert "at least" in page
    listed = desk.get("/admin/guides/guide/?o=-6").context["cl"].queryset
    assert [guide.times_opened for guide in listed] == [42, 1]
    (section,) = [section for section in waiting.sections(reader) if section.key == "opens"]
    assert desk.get(section.lines[0].address).context["cl"].result_count == 4


# Jobs


def test_work_that_failed_is_started_again_from_its_line(roaster, at_desk):
    run = JobRun.objects.create(kind="inserts_of_version", state=JobState.FAILED, finished_at=timezone.now())
    assert seen(roaster)["jobs"] == ["Make the inserts of a guide"]
    assert at_desk(roaster).post(act(run, "again"), {}).status_code == 302
    run.refresh_from_db()
    assert run.state == JobState.WAITING
    assert "jobs" not in seen(roaster)
    assert at_desk(roaster).post(act(run, "again"), {}).status_code == 409


def test_who_only_reads_cannot_start_work(reader, at_desk):
    run = JobRun.objects.create(kind="inserts_of_version", state=JobState.FAILED, finished_at=timezone.now())
    assert "jobs" not in seen(reader)
    assert at_desk(reader).post(act(run, "again"), {}).status_code == 403


# Who sees what


def _everything_waits() -> None:
    version = published()
    LotFactory(coffee=version.guide.coffee, roasted_on=timezone.localdate() - datetime.timedelta(days=10))
    review.submit(GuideVersionFactory(), by=UserFactory(role="roaster"))
    JobRun.objects.create(kind="inserts_of_version", state=JobState.FAILED, finished_at=timezone.now())


@pytest.mark.parametrize(
    ("role", "sections"),
    [
        ("roaster", {"brew", "unchecked", "unguided", "windows", "jobs"}),
        ("publisher", {"approve", "unchecked", "unguided", "windows", "jobs"}),
        ("packer", {"windows"}),
        ("shop", {"windows"}),
        ("reader", {"windows"}),
    ],
)
def test_each_sees_only_what_they_can_use(role, sections):
    _everything_waits()
    assert set(seen(UserFactory(role=role))) == sections


def test_without_the_guard_a_packer_would_see_all(packer, monkeypatch):
    """Negative control."""
    _everything_waits()
    monkeypatch.setattr(waiting, "_is_for", lambda kind, user: True)
    assert {"unchecked", "unguided", "jobs"} <= set(seen(packer))


@pytest.mark.parametrize("role", ["roaster", "publisher", "packer", "shop", "reader"])
def test_every_line_opens(role, at_desk):
    _everything_waits()
    user = UserFactory(role=role)
    desk = at_desk(user)
    addresses = [line.address for section in waiting.sections(user) for line in section.lines]
    assert addresses
    assert {desk.get(address).status_code for address in addresses} == {200}


# Many


def test_more_leads_to_the_same_rows_in_the_list(at_desk):
    chief = UserFactory(is_superuser=True)
    for _ in range(MOST_LINES + 2):
        version = published()
        LotFactory(coffee=version.guide.coffee, roasted_on=timezone.localdate() - datetime.timedelta(days=10))
        review.submit(GuideVersionFactory(), by=UserFactory(role="roaster"))
        GuideVersionFactory(created_by=chief)
        JobRun.objects.create(kind="inserts_of_version", state=JobState.FAILED, finished_at=timezone.now())
    desk = at_desk(chief)
    found = {section.key: section for section in waiting.sections(chief)}
    assert set(found) == {"approve", "drafts", "unchecked", "unguided", "windows", "jobs"}
    for section in found.values():
        assert (len(section.lines), section.more) == (MOST_LINES, 2), section.key
        assert desk.get(section.address).context["cl"].result_count == MOST_LINES + 2, section.key
