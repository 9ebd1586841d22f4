"""The form of a version: what to write where, with examples."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from guides.models import Brewer

from .brewer_form import grouped
from .conflicts import TokenForm


class VersionForm(TokenForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "brewer" in self.fields:
            brewers = Brewer.objects.select_related("vessel", "valve_base", "paper")
            field: Any = self.fields["brewer"]
            field.choices = [("", field.empty_label), *grouped(brewers)]

    class Meta:
        help_texts = {
            "title": _("Such as: Rope Walk, small cone with a valve."),
            "dose_g": _("Such as 15."),
            "grind_um": _("Such as 740; a grinder's settings come from its calibration points."),
            "kettle_c": _("What the kettle shows when pouring begins, such as 92."),
            "water_g": _("All that is poured onto the coffee: the last pour's reading, such as 180."),
            "bypass_g": _("Added when it has drained, such as 60. 0 for none."),
            "ice_g": _("Weighed into the server before zero. 0 for none."),
            "strength_low_percent": _("Of the finished cup, such as 1.25."),
            "strength_high_percent": _("Such as 1.35."),
            "extraction_percent": _("Such as 21; empty if you promise none."),
            "why": _("What, because, you'd notice: 40 words."),
            "change_note": _("Against the revision before, such as: ground coarser for the new crop."),
        }
