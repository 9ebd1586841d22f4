"""Each rule that one row can break has a name, a message that names the field, and a database that holds it."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import CheckConstraint, Model, UniqueConstraint
from django.utils import timezone

from guides.choices import Follow, JobState, State
from guides.models import (
    Assignment,
    GreenLot,
    GrinderPoint,
    GuideVersion,
    JobRun,
    LotPart,
    Roast,
    Roastery,
    Step,
    StepText,
    VersionEditor,
    VersionText,
)
from tests.factories import (
    BrewerFactory,
    CoffeeFactory,
    GrinderFactory,
    GuideFactory,
    GuideVersionFactory,
    LotFactory,
    ReviewCommentFactory,
    TrialBrewFactory,
    UserFactory,
    VesselFactory,
    shown,
)

from .broken_rows import NEWER, Row, changed, twin
from .broken_tastings import HALF_TASTED, TASTED

pytestmark = [pytest.mark.django_db, pytest.mark.data]

NOW = timezone.now


def assignment() -> Assignment:
    lot = LotFactory()
    return Assignment.objects.create(lot=lot, guide=GuideFactory(coffee=lot.coffee))


def green_lot() -> GreenLot:
    return GreenLot.objects.create(name="G-1", mass_kg=60)


def roast() -> Roast:
    today = timezone.localdate()
    return Roast.objects.create(name="R-1", green_lot=green_lot(), roasted_on=today, green_kg=12, roasted_kg=10.4)


def lot_part() -> LotPart:
    return LotPart.objects.create(lot=LotFactory(), roast=roast(), mass_kg=5)


def roastery() -> Roastery:
    return Roastery.objects.create(name="Mossgull Roasting Room")


class Unforced(Roastery):
    """Without the ``save`` that always writes row 1."""

    class Meta:
        proxy = True
        app_label = "guides"

    def save(self, *args: Any, **kwargs: Any) -> None:
        Model.save(self, *args, **kwargs)


def version_text() -> VersionText:
    return VersionText.objects.create(version=GuideVersionFactory(), language="sv", title="Titel")


def step_text() -> StepText:
    return StepText.objects.create(step=GuideVersionFactory().steps.first(), language="sv", simple="Fukta allt.")


def first_step() -> Step:
    return GuideVersionFactory().steps.first()


def grinder_point() -> GrinderPoint:
    return GrinderFactory().points.first()


def numbered() -> GuideVersion:
    """A published row, set down without the lifecycle."""
    version = GuideVersionFactory(steps=())
    version.state, version.revision, version.snapshot, version.sha256 = State.PUBLISHED, 1, {"dose_g": 16}, "0" * 64
    version.published_at, version.published_by = NOW(), UserFactory()
    version.save()
    return version


def editor() -> VersionEditor:
    return VersionEditor.objects.create(version=GuideVersionFactory(), user=UserFactory())


BAD: dict[str, Row] = {
    **NEWER,
    **TASTED,
    "assignment_guide_once": twin(assignment),
    "assignment_held_has_reason": changed(assignment, follow=Follow.HELD),
    "assignment_pinned_has_version": changed(assignment, follow=Follow.PINNED),
    "brewer_valve_has_base": changed(BrewerFactory, outflow="valve"),
    "coffee_merged_is_off_sale": changed(CoffeeFactory, merged_into=CoffeeFactory),
    "coffee_gtin_once": twin(lambda: CoffeeFactory(gtin="04006381333931"), name="Another", code="AN", slug="another"),
    "comment_resolved_by_and_at": changed(ReviewCommentFactory, resolved_at=NOW),
    "comment_says_something": changed(ReviewCommentFactory, text=""),
    "green_lot_mass_positive": changed(green_lot, mass_kg=0),
    "grinder_step_positive": changed(GrinderFactory, step=0),
    "grinder_point_median_range": changed(grinder_point, median_um=99),
    "grinder_point_setting_once": twin(grinder_point),
    "guide_number_from_one": changed(GuideFactory, number=0),
    "job_done_within_total": changed(lambda: JobRun.objects.create(kind="papers"), done=3, total=2),
    "job_lease_while_running": changed(lambda: JobRun.objects.create(kind="papers"), state=JobState.RUNNING),
    "lot_bag_positive": changed(LotFactory, bag_g=0),
    "lot_green_positive": changed(LotFactory, green_kg=0),
    "lot_loss_range": changed(LotFactory, loss_percent=-1),
    "lot_part_mass_positive": changed(lot_part, mass_kg=0),
    "lot_part_roast_once": twin(lot_part),
    "lot_qc_not_negative": changed(LotFactory, qc_kg=-1),
    "lot_recall_complete": changed(LotFactory, recalled_at=NOW),
    "lot_window_in_order": changed(LotFactory, rest_days=20, best_days=10),
    "roast_loses_mass": changed(roast, roasted_kg=13),
    "roast_masses_positive": changed(roast, roasted_kg=0),
    "roastery_altitude_range": changed(roastery, altitude_m=5001),
    "roastery_is_one_row": lambda: Unforced(pk=2, name="Second"),
    "step_ends_after_start": changed(first_step, start_s=10, end_s=9),
    "step_target_with_water": changed(first_step, target_g=None),
    "step_text_language_once": twin(step_text),
    "trial_check_brew_has_plan": changed(TrialBrewFactory, is_check_brew=True),
    "trial_liking_range": changed(TrialBrewFactory, liking=11),
    "trial_masses_positive": changed(TrialBrewFactory, dose_g=0),
    "trial_strength_says_where": changed(TrialBrewFactory, strength_percent="1.35"),
    "trial_last_drops_beside_strength": changed(TrialBrewFactory, last_drops_percent="0.8"),
    "trial_room_range": changed(TrialBrewFactory, room_c=60),
    "trial_bed_range": changed(TrialBrewFactory, bed_c=101),
    "trial_water_range": changed(TrialBrewFactory, alkalinity_mg_l=1001),
    "trial_set_aside_whole": changed(TrialBrewFactory, set_aside_reason="The paper folded."),
    "version_additions_range": changed(GuideVersionFactory, bypass_g=-1),
    "version_approved_by_and_at": changed(GuideVersionFactory, approved_at=NOW),
    "version_dose_range": changed(GuideVersionFactory, dose_g=0),
    "version_editor_once": twin(editor),
    "version_extraction_range": changed(GuideVersionFactory, extraction_percent=31),
    "version_grind_range": changed(GuideVersionFactory, grind_um=99),
    "version_kettle_range": changed(GuideVersionFactory, kettle_c=101),
    "trialpicture_has_picture": changed(lambda: shown.trial_picture(TrialBrewFactory()), name=""),
    "coffeepicture_has_picture": changed(lambda: shown.coffee_picture(CoffeeFactory()), name=""),
    "steppicture_has_picture": changed(lambda: shown.step_picture(first_step()), width=0),
    "stepclip_has_picture": changed(lambda: shown.step_clip(first_step()), name=""),
    "step_clip_has_file": changed(lambda: shown.step_clip(first_step()), size=0),
    "version_numbered_when_published": changed(GuideVersionFactory, revision=1),
    "version_one_draft": twin(GuideVersionFactory),
    "version_publish_at_when_approved": changed(GuideVersionFactory, publish_at=NOW),
    "version_published_by_and_at": changed(GuideVersionFactory, published_at=NOW),
    "version_revision_once": twin(numbered),
    "version_strength_in_order": changed(
        GuideVersionFactory, strength_low_percent="1.40", strength_high_percent="1.30"
    ),
    "version_submitted_by_and_at": changed(GuideVersionFactory, submitted_at=NOW),
    "version_text_language_once": twin(version_text),
    "version_water_range": changed(GuideVersionFactory, water_g=0),
    "version_withdrawn_complete": changed(GuideVersionFactory, withdrawn_at=NOW),
    "vessel_shape_complete": changed(VesselFactory, half_angle_deg=None),
    "vessel_usable_positive": changed(VesselFactory, usable_ml=0),
}

# NULL makes a comparison neither true nor false, and a database passes a check that is not false.
HALF_EMPTY: list[tuple[str, Row]] = [
    ("lot_window_in_order", changed(LotFactory, rest_days=None, best_days=20)),
    ("trial_strength_says_where", changed(TrialBrewFactory, sample="after_bypass")),
    ("version_numbered_when_published", changed(lambda: numbered(), revision=None)),
    ("version_strength_in_order", changed(GuideVersionFactory, strength_high_percent="1.30")),
    ("version_strength_in_order", changed(GuideVersionFactory, strength_low_percent="1.30")),
    ("vessel_shape_complete", changed(VesselFactory, outlet_radius_mm=None)),
    ("vessel_shape_complete", changed(VesselFactory, shape="cylinder")),
]
CASES = [*sorted(BAD.items()), *HALF_EMPTY, *HALF_TASTED]

CONSTRAINTS = {
    constraint.name: constraint
    for model in apps.get_app_config("guides").get_models()
    for constraint in model._meta.constraints
}


def test_every_constraint_is_tried_here() -> None:
    assert set(BAD) == set(CONSTRAINTS)


def test_every_constraint_has_a_name_and_words_of_its_own() -> None:
    default = CheckConstraint.default_violation_error_message
    for name, constraint in CONSTRAINTS.items():
        assert isinstance(constraint, CheckConstraint | UniqueConstraint)
        assert str(constraint.violation_error_message) != str(default), name


@pytest.mark.parametrize(("name", "row"), CASES)
def test_a_form_says_what_is_wrong(name: str, row: Row) -> None:
    bad = row()
    with pytest.raises(ValidationError) as refused:
        bad.full_clean()
    assert str(CONSTRAINTS[name].get_violation_error_message()) in refused.value.messages


@pytest.mark.parametrize(("name", "row"), CASES)
def test_the_database_refuses_without_a_form(name: str, row: Row) -> None:
    bad = row()
    with pytest.raises(IntegrityError), transaction.atomic():
        Model.save(bad)  # past the guard that speaks to people


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (changed(LotFactory, roasted_on=lambda: timezone.localdate() + datetime.timedelta(days=2)), "in the future"),
        (twin(LotFactory), "Lot name: this one is used already"),
        (changed(LotFactory, name="om 084"), "Lot name: 1 to 20 capital letters"),
        (changed(LotFactory, name="O" * 200), "at most 20 characters"),
        (changed(CoffeeFactory, name="O" * 200), "at most 60 characters"),
        (changed(CoffeeFactory, gtin="04006381333932"), "GTIN: 14 digits with a fitting check digit"),
        (changed(CoffeeFactory, code="om"), "Code: one to six capital letters"),
        (changed(roastery, languages=["en", "xx"]), "Write a list of one or more of en"),
        (changed(roastery, accent="brown"), "six hexadecimal digits"),
        (changed(GuideVersionFactory, title="O" * 200), "at most 80 characters"),
    ],
)
def test_other_bad_input_names_its_field(row: Row, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        row().full_clean()


def test_parts_that_do_not_fit_are_named() -> None:
    brewer = BrewerFactory()
    brewer.vessel.fits_papers.clear()
    with pytest.raises(ValidationError, match=f"{brewer.paper} does not fit {brewer.vessel}"):
        brewer.full_clean()
