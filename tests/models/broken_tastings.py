"""Rows that break one rule each, of sites, trainees and blind tastings."""

from __future__ import annotations

from django.utils import timezone

from tests.factories import SiteFactory, TraineeFactory
from tests.factories.tastings import cup, cup_note, opened, seated

from .broken_rows import Row, changed, home_brew, twin

TASTED: dict[str, Row] = {
    "cup_note_has_text": changed(cup_note, text=""),
    "cup_note_once": twin(cup_note),
    "home_brew_window_whole": lambda: home_brew(window_low_s=200, window_high_s=190),
    "site_alkalinity_range": changed(SiteFactory, tap_alkalinity_mg_l=1001),
    "site_altitude_range": changed(SiteFactory, altitude_m=5001),
    "site_hardness_range": changed(SiteFactory, tap_hardness_mg_l=1001),
    "taster_choice_was_sent": changed(seated, choice=cup),
    "taster_seat_once": twin(seated),
    "tasting_cup_code_once": twin(cup),
    "tasting_cup_is_of_one_thing": changed(cup, lot=None),
    "tasting_cup_sample_range": changed(cup, sample=5),
    "tasting_revealed_by_and_at": changed(opened, revealed_at=timezone.now),
    "trainee_has_name": changed(TraineeFactory, name=""),
    "trainee_name_once": twin(TraineeFactory),
}
HALF_TASTED: list[tuple[str, Row]] = [("home_brew_window_whole", lambda: home_brew(window_high_s=190))]
