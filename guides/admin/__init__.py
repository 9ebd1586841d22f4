"""The roaster's desk: the stock Django admin, one file per area."""

from django.contrib import admin
from django.utils.translation import gettext_lazy as _

from . import (
    access,
    coffee,
    coffee_picture,
    dispatching,
    events,
    gear,
    guide,
    guide_version,
    home_brew,
    jobs,
    lot,
    lot_check,
    opens,
    packing,
    paper_sizes,
    question,
    roastery,
    roasting,
    site,
    staff,
    step_media,
    tasting,
    trial_brew,
)

admin.site.index_title = _("The roaster's desk")

__all__ = [
    "access",
    "coffee",
    "coffee_picture",
    "dispatching",
    "events",
    "gear",
    "guide",
    "guide_version",
    "home_brew",
    "jobs",
    "lot",
    "lot_check",
    "opens",
    "packing",
    "paper_sizes",
    "question",
    "roastery",
    "roasting",
    "site",
    "staff",
    "step_media",
    "tasting",
    "trial_brew",
]
