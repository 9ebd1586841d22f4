"""Sites at the desk: sheets to hang up, who is signed off, and what asks again."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from guides.admin import site as site_desk
from guides.admin import waiting
from guides.documents.errors import InsertRefused
from guides.lifecycle.draft import open_next
from guides.lifecycle.sign_off import sign_off
from guides.models import Event, SignOff, Site
from guides.queries import versions
from tests.factories import SiteFactory, TraineeFactory, UserFactory, published
from tests.factories.sites import learning

from .addresses import act, add, change

pytestmark = pytest.mark.django_db


def coarser(guide):
    draft = open_next(guide, by=UserFactory(role="roaster"))
    draft.grind_um += 40
    draft.save()
    return published(draft)


def test_a_new_revision_asks_again_and_says_where_to_look(at_desk, text_of):
    site, guide, trainees = learning()
    desk = at_desk()
    sign_off(site, guide, trainees[:1], by=UserFactory(role="roaster"))
    first = versions.current(guide)
    text = text_of(desk.get(change(site)))
    assert f"{trainees[0].name} : signed off for revision 1" in text
    assert f"{trainees[1].name} : not yet" in text
    second = coarser(guide)
    page = desk.get(change(site))
    assert f"{trainees[0].name} : again for revision 1" in text_of(page)
    assert f"difference/?old={first.pk}&amp;new={second.pk}" in page.content.decode()


def test_whoever_is_asked_for_is_signed_off_with_one_form(at_desk):
    site, guide, trainees = learning()
    roaster = UserFactory(role="roaster")
    desk = at_desk(roaster)
    chosen = [f"{each.pk}-{versions.current(guide).pk}" for each in trainees]
    assert all(key in desk.get(act(site, "sign-off")).content.decode() for key in chosen)
    assert desk.post(act(site, "sign-off"), {"brewed": chosen}).status_code == 302
    assert {(row.trainee, row.version.revision, row.signed_by) for row in SignOff.objects.all()} == {
        (trainees[0], 1, roaster),
        (trainees[1], 1, roaster),
    }
    # Nobody is asked for any more, so there is nothing to press.
    assert "act/sign-off" not in desk.get(change(site)).content.decode()


def test_a_choice_made_up_signs_nobody_off(at_desk):
    site, guide, _trainees = learning()
    stranger = TraineeFactory()
    made_up = f"{stranger.pk}-{versions.current(guide).pk}"
    assert at_desk().post(act(site, "sign-off"), {"brewed": made_up}).status_code == 409
    assert not SignOff.objects.exists()


def test_a_revision_published_while_the_form_lay_open_is_not_signed_unseen(at_desk):
    site, guide, trainees = learning()
    seen = f"{trainees[0].pk}-{versions.current(guide).pk}"
    coarser(guide)
    assert at_desk().post(act(site, "sign-off"), {"brewed": seen}).status_code == 409
    assert not SignOff.objects.exists()


def test_the_start_of_the_desk_names_who_waits_those_asked_again_first(roaster, reader):
    site, guide, trainees = learning()
    sign_off(site, guide, trainees[:1], by=roaster)
    other = SiteFactory()
    other.guides.add(published().guide)
    newcomer = TraineeFactory(site=other)
    coarser(guide)
    (section,) = [each for each in waiting.sections(roaster) if each.key == "sign_offs"]
    notes = [line.note for line in section.lines]
    assert notes == [
        f"again: {trainees[0].name}; for the first time: {trainees[1].name}",
        f"for the first time: {newcomer.name}",
    ]
    assert section.lines[0].address == act(site, "sign-off")
    assert "sign_offs" not in {each.key for each in waiting.sections(reader)}


def test_what_waits_costs_as_many_queries_for_many_sites(roaster):
    def cost(sites: int) -> int:
        for _ in range(sites):
            learning()
        with CaptureQueriesContext(connection) as captured:
            waiting.sections(roaster)
        return len(captured)

    cost(1)
    assert cost(1) == cost(4)


def test_a_site_is_written_with_its_trainees_and_guides(at_desk, filled):
    guide, desk = published().guide, at_desk()
    fields = filled(desk, add(Site)) | {
        "name": "Three Larches training room",
        "altitude_m": "1480",
        "tap_alkalinity_mg_l": "190",
        "guides": [str(guide.pk)],
        "trainees-TOTAL_FORMS": "1",
        "trainees-0-name": "Brisa",
    }
    assert desk.post(add(Site), fields).status_code == 302
    site = Site.objects.get()
    assert [each.name for each in site.trainees.all()] == ["Brisa"]
    assert list(site.guides.all()) == [guide]


def test_a_wrong_altitude_says_so_at_its_field_and_keeps_the_rest(at_desk, filled, text_of):
    desk = at_desk()
    page = desk.post(add(Site), filled(desk, add(Site)) | {"name": "Larches", "altitude_m": "9000"})
    assert "Altitude: 0 to 5000 m." in text_of(page)
    assert 'value="Larches"' in page.content.decode()


def test_why_there_is_no_sheet_is_said_on_the_page(at_desk, text_of, monkeypatch):
    site, guide, _trainees = learning()

    def refuse(*_given):
        raise InsertRefused(["Too long."])

    monkeypatch.setattr(site_desk, "wall_sheet", refuse)
    page = at_desk().get(f"/admin/guides/site/{site.pk}/wall/{guide.number}/en.pdf", follow=True)
    assert "Too long." in text_of(page)


def test_nobody_deletes_what_hangs_on_walls(at_desk):
    site = SiteFactory()
    assert at_desk(UserFactory(is_superuser=True)).post(f"/admin/guides/site/{site.pk}/delete/").status_code == 403


def test_who_set_a_site_up_and_who_changed_its_water_stands_in_the_trail(at_desk, filled):
    roaster = UserFactory(role="roaster")
    desk, guide = at_desk(roaster), published().guide
    rows = {"trainees-TOTAL_FORMS": "1", "trainees-0-name": "Brisa", "trainees-0-site": "", "trainees-0-id": ""}
    fields = {**filled(desk, add(Site)), **rows, "name": "Three Larches", "altitude_m": "1480", "guides": [guide.pk]}
    assert desk.post(add(Site), fields).status_code == 302
    site = Site.objects.get()
    made = Event.objects.get(verb="created", details__site=site.pk)
    assert (made.by, made.details["trainees"]) == (roaster, [site.trainees.get().pk])
    assert "Brisa" not in str(made.details), "names go when people do; the trail stays"
    fields = {**filled(desk, change(site)), "tap_alkalinity_mg_l": "190", "guides": [guide.pk]}
    assert desk.post(change(site), fields).status_code == 302
    changed = Event.objects.get(verb="changed")
    assert (changed.details["fields"], changed.details["trainees"]) == ({"tap_alkalinity_mg_l": ["", "190"]}, [])
    assert desk.post(change(site), fields).status_code == 302
    assert Event.objects.filter(details__site=site.pk).count() == 2, "a save that changes nothing is no event"
