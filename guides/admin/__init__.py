"""The roaster's desk: the stock Django admin, one file per area."""

from . import coffee, events, gear, guide, guide_version, jobs, lot, roastery, roasting, staff, trial_brew

__all__ = [
    "coffee",
    "events",
    "gear",
    "guide",
    "guide_version",
    "jobs",
    "lot",
    "roastery",
    "roasting",
    "staff",
    "trial_brew",
]
