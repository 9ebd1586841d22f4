"""The demo world: seeded once through the acts of real use, into an empty demo site and nowhere else."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

import pytest
from biip.gtin import Gtin
from django.core.management import call_command
from django.db import transaction
from django.test import override_settings
from django.utils import timezone

from guides.admin.site_page import asks
from guides.calculations.freshness import Phase, RoastLevel, best_days, phase
from guides.choices import Follow, State
from guides.lifecycle import snapshot, verify
from guides.management.demo import world
from guides.models import (
    Assignment,
    Event,
    Guide,
    GuideVersion,
    Lot,
    Question,
    Site,
    Tasting,
    TrialBrew,
)
from guides.presenters import adapted_sheet, sites, trace
from guides.queries import answers, crowd, versions
from guides.queries.sites import standings


@pytest.fixture(scope="module")
def seeded(django_db_setup, django_db_blocker) -> Iterator[None]:
    """Seeding takes seconds, so it is done once, for all the tests here."""
    with override_settings(DEMO=True), django_db_blocker.unblock(), transaction.atomic():
        call_command("seed_demo", verbosity=0)
        yield
        transaction.set_rollback(True)


@pytest.fixture
def demo(seeded: None) -> Iterator[None]:
    """The demo world, as it was seeded: what a test changes is taken back."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def test_six_lots_stand_at_every_place_of_their_window(demo):
    today = timezone.localdate()

    def where(lot: Lot) -> Phase:
        return phase((today - lot.roasted_on).days, best_days(RoastLevel(lot.effective_roast_level)))

    phases = [where(lot) for lot in Lot.objects.all()]
    assert (phases.count(Phase.REST), phases.count(Phase.BEST), phases.count(Phase.USE_SOON)) == (1, 4, 1)
    near_its_end = Lot.objects.get(name="RW-078")
    last = best_days(RoastLevel(near_its_end.effective_roast_level)).last
    assert 0 <= last - (today - near_its_end.roasted_on).days <= 3


def test_gtins_are_of_the_range_set_aside_for_demonstrations():
    """Outside check: ``biip``, which holds the list of GS1 prefixes."""
    gtins = [table["gtin"] for table in world.read("world.toml")["coffees"]]
    for gtin in map(Gtin.parse, gtins):
        assert gtin.prefix.usage.startswith("Used for demonstrations")
    assert len(set(gtins)) == 4


def test_every_guide_is_published_with_a_check_brew_by_somebody_else(demo):
    for version in GuideVersion.objects.all():
        assert version.state == State.PUBLISHED
        assert not version.waiver_reason
        assert version.trial_brews.filter(is_check_brew=True).exclude(brewed_by=version.created_by).exists()
        assert verify.verify(version) == []


def test_the_new_crop_was_held_and_came_back_with_a_coarser_revision(demo):
    first, second = GuideVersion.objects.filter(guide__number=2).order_by("revision")
    assert second.grind_um > first.grind_um
    assert Assignment.objects.get(lot__name="OM-084").follow == Follow.NEWEST
    assert Assignment.objects.get(lot__name="OM-071", guide__number=2).pinned == first
    assert Event.objects.filter(lot__name="OM-084", verb="held").exists()
    window = snapshot.read(first).assessment.drained
    late = TrialBrew.objects.filter(version=first, lot__name="OM-084").get()
    checked = TrialBrew.objects.filter(version=second, is_check_brew=True).get()
    assert window.low <= checked.drained_s <= window.high < late.drained_s


def test_the_recalled_lot_keeps_its_guide_published(demo):
    assert Lot.objects.get(name="RW-091").is_recalled
    assert Lot.objects.filter(recalled_at__isnull=False).count() == 1
    # The story as it is told: 12 shelf + 22 web + 5 café + 1 retained = 40.
    (lot,) = trace.of(Lot.objects.get(name="RW-091")).lots
    assert {line.outlet: line.bags for line in lot.out} == {
        "own shelf": 12, "web orders": 22, "cafés and shops": 5, "kept as samples": 1,
    }  # fmt: skip
    assert (lot.bags.whole, lot.is_whole) == (40, True)


def test_eight_questions_were_asked_two_answered_and_one_is_spam(demo):
    states = [question.state for question in Question.objects.all()]
    assert [states.count(state) for state in ("open", "answered", "spam")] == [5, 2, 1]
    assert {question.language for question in Question.objects.all()} == {"en", "sv", "fi"}
    for question in Question.objects.filter(state="answered"):
        assert answers.place_in(versions.current(question.version.guide), question) == question.step


def test_guide_2_asks_for_hotter_water_than_there_is_in_the_training_room(demo):
    """At 1,480 m water boils near 95 °C (US Standard Atmosphere 1976, IAPWS-97), and the guide asks for 97."""
    site, version = Site.objects.get(), versions.current(Guide.objects.get(number=2))
    assert (site.altitude_m, site.tap_alkalinity_mg_l) == (1480, 190)
    sheet = adapted_sheet.build(
        version, sites.request_of(site, version.brewer), language="en", today=timezone.localdate()
    )
    kettle = next(fact for fact in sheet.ingredients if fact.key == "kettle")
    assert (kettle.was.split(",")[0], kettle.value) == ("97\N{NO-BREAK SPACE}°C", "94\N{NO-BREAK SPACE}°C")
    assert [unmet.code for unmet in sheet.adapted.unmet] == ["kettle_below_guide"]
    asked = {standing.trainee.name for standing in standings([site]) if standing.version == version and asks(standing)}
    assert asked == {"Mirel", "Tadu"}


def test_a_tasting_is_told_and_brews_from_kitchens_are_gathered(demo):
    assert Tasting.objects.get().is_revealed
    assert {version.guide.number for version, _brews in crowd.by_version()} == {1, 2}


def test_seeding_again_changes_nothing_and_moves_no_date(demo, time_machine_tomorrow):
    before = list(Lot.objects.values())
    call_command("seed_demo", verbosity=0)
    assert list(Lot.objects.values()) == before


@pytest.fixture
def time_machine_tomorrow():
    import time_machine

    with time_machine.travel(timezone.now() + datetime.timedelta(days=1), tick=False):
        yield
