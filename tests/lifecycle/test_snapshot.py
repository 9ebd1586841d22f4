"""What publishing keeps: inputs, outputs and words, the same whatever changes afterwards."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest
from django.db import connection
from hypothesis import given
from hypothesis import strategies as st

from guides.calculations.assess import assess
from guides.lifecycle import assessing, canonical, snapshot, stored
from guides.lifecycle.assessing import assess_version
from guides.models import Brewer, GuideVersion, StepText, VersionText, Vessel
from guides.queries import versions
from tests.factories import GrinderFactory, GuideVersionFactory, JarBrewerFactory, ValveVersionFactory, published

pytestmark = pytest.mark.django_db


@pytest.fixture
def worded() -> GuideVersion:
    GrinderFactory(name="Harrow")
    draft = ValveVersionFactory(strength_low_percent="1.25", strength_high_percent="1.35", server_ml=400)
    VersionText.objects.create(version=draft, language="sv", title="Rope Walk i Tidegate", why="Därför.")
    StepText.objects.create(step=draft.steps.first(), language="sv", simple="Fukta allt.")
    return published(draft)


def test_what_is_read_is_what_was_seen_before_publishing(worded: GuideVersion) -> None:
    draft = GuideVersionFactory()
    preview = snapshot.of(draft)
    kept = snapshot.read(published(draft))
    assert stored.to_json(kept.assessment) == stored.to_json(preview.assessment)
    assert (kept.plan, kept.targets, kept.words) == (preview.plan, preview.targets, preview.words)
    assert (preview.revision, kept.revision) == (None, 1)


def test_everything_a_page_needs_is_in_it(worded: GuideVersion) -> None:
    kept = snapshot.read(GuideVersion.objects.get(pk=worded.pk))
    assert (kept.guide.number, kept.revision, kept.server_ml) == (worded.guide.number, 1, 400)
    assert (kept.targets.strength_low, kept.targets.strength_high) == (0.0125, 0.0135)
    assert kept.plan.brewer.usable_ml == 240
    assert kept.brewer.valve_base == worded.brewer.valve_base.name
    assert [step.target_g for step in kept.plan.steps] == [60, 120, None, None, 180, 240]
    assert set(kept.words) == {"en", "sv"}
    assert kept.words_in("sv").title == "Rope Walk i Tidegate"
    assert kept.words_in("sv").steps[0].simple == "Fukta allt."
    assert len(kept.words_in("sv").steps) == len(kept.plan.steps)
    assert kept.words_in("fi") == kept.words["en"]


def test_grinder_settings_are_looked_up_at_publishing(worded: GuideVersion) -> None:
    """Demo world: Harrow 5 → 690 and 7 → 930 µm; 740 µm lies at 5.4, and 5 is the nearest click of 1."""
    [setting] = snapshot.read(worded).grinders
    assert (setting.grinder, setting.setting, setting.landed_um) == ("Harrow", 5, 690)


def test_grinders_that_cannot_reach_it_are_left_out() -> None:
    GrinderFactory(points={1: 300, 2: 400, 3: 500})
    GrinderFactory(points={})
    assert snapshot.of(GuideVersionFactory(grind_um=660)).grinders == ()


def test_later_changes_do_not_reach_it(worded: GuideVersion, monkeypatch: pytest.MonkeyPatch) -> None:
    before = snapshot.read(worded)
    Vessel.objects.update(usable_ml=100)
    Brewer.objects.update(name="Renamed")
    monkeypatch.setattr(assessing, "assess_plan", lambda *_args: pytest.fail("a printed guide is not computed again"))
    assert snapshot.read(GuideVersion.objects.get(pk=worded.pk)) == before


def test_a_full_immersion_goes_through_too() -> None:
    steps = ({"start_s": 0, "end_s": 30, "target_g": 480}, {"start_s": 480, "end_s": 500, "action": "decant"})
    version = GuideVersionFactory(
        brewer=JarBrewerFactory(), dose_g="32.0", water_g="480.0", kettle_c="95.0", grind_um=950, steps=steps
    )
    kept = snapshot.read(published(version))
    assert (kept.assessment.drained, kept.plan.brewer.shape.radius_mm) == (None, 45)


def test_a_draft_has_none(draft: GuideVersion) -> None:
    with pytest.raises(ValueError, match="was never published"):
        snapshot.read(draft)


def test_one_that_cannot_be_read_says_what(worded: GuideVersion) -> None:
    del worded.snapshot["plan"]["dose_g"]
    with pytest.raises(ValueError, match=r"kept Snapshot cannot be read.*dose_g"):
        snapshot.read(worded)


@pytest.mark.data
def test_the_database_hands_back_what_was_hashed(worded: GuideVersion) -> None:
    again = GuideVersion.objects.get(pk=worded.pk)
    assert snapshot.digest(again.snapshot) == again.sha256 == worded.sha256


def test_the_panel_and_publishing_give_the_same_numbers() -> None:
    """One function behind both; every figure compared."""
    draft = versions.by_id(GuideVersionFactory().pk)
    panel = stored.to_json(assess_version(draft))
    assert published(draft).snapshot["assessment"] == panel
    kept = snapshot.read(draft) if draft.snapshot else snapshot.read(versions.by_id(draft.pk))
    assert stored.to_json(assess(kept.plan, kept.conditions, kept.targets)) == panel


def test_it_is_small_enough_to_read_for_every_page(worded: GuideVersion) -> None:
    size = len(json.dumps(worded.snapshot))
    print(f"snapshot: {size / 1000:.1f} kB on {connection.vendor}")
    assert size < 40_000


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.floats(-1e6, 1e6) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)


@given(JSON)
def test_canonical_text_survives_a_round_through_json(value: Any) -> None:
    assert canonical.text(json.loads(json.dumps(value))) == canonical.text(value)


@given(st.dictionaries(st.text(max_size=4), st.integers(0, 9), min_size=2, max_size=6))
def test_the_order_of_keys_does_not_matter(value: dict[str, int]) -> None:
    assert canonical.sha256(dict(reversed(value.items()))) == canonical.sha256(value)


@given(JSON, JSON)
def test_different_content_has_another_hash(one: Any, other: Any) -> None:
    assert (canonical.sha256(one) == canonical.sha256(other)) == (canonical.text(one) == canonical.text(other))


def test_canonical_form_is_what_it_says() -> None:
    """Written out by hand; the hash is of these bytes (FIPS 180-4 by hashlib)."""
    value = {"b": [1, 2.5, True, None], "a": "ö", "c": -0.0}
    written = '{"a":"ö","b":["1.000000","2.500000",true,null],"c":"0.000000"}'
    assert canonical.text(value) == written
    assert canonical.sha256(value) == hashlib.sha256(written.encode()).hexdigest()


@pytest.mark.parametrize("value", [float("nan"), float("inf"), {"a": {1, 2}}, b"bytes"])
def test_what_json_cannot_hold_is_refused(value: Any) -> None:
    with pytest.raises((ValueError, TypeError)):
        canonical.text(value)
