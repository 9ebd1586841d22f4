"""Published guides that nobody has brewed from with the newest lot of their coffee."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from guides.choices import Follow
from guides.models import Assignment, GuideVersion, Lot, TrialBrew

from .versions import newest_published

# A check brew of an earlier revision still speaks for this one while these are the same.
_SAME = ("brewer", "dose_g", "water_g", "bypass_g", "ice_g", "kettle_c", "grind_um", "valve_shut_at_start")


def versions() -> QuerySet[GuideVersion]:
    """Give the newest published version of each such guide, with ``newest_lot`` and ``newest_lot_name``.

    A guide held for that lot is left out: that it does not fit has been decided. What a check brew said is another
    matter (``misfits.py``), unless it was set aside.
    """
    newest_lot = Lot.objects.filter(coffee=OuterRef("guide__coffee"), recalled_at__isnull=True).order_by(
        "-roasted_on", "-pk"
    )
    shown = (
        newest_published()
        .annotate(
            newest_lot=Subquery(newest_lot.values("pk")[:1]), newest_lot_name=Subquery(newest_lot.values("name")[:1])
        )
        .filter(newest_lot__isnull=False)
    )
    held = Assignment.objects.filter(guide=OuterRef("guide"), lot=OuterRef("newest_lot"), follow=Follow.HELD)
    return shown.exclude(Exists(held)).exclude(_is_checked()).select_related("guide").order_by("guide__number")


def _is_checked() -> Exists:
    same = {f"version__{name}": OuterRef(name) for name in _SAME}
    return Exists(
        TrialBrew.objects.filter(
            is_check_brew=True,
            set_aside_at__isnull=True,
            lot=OuterRef("newest_lot"),
            version__guide=OuterRef("guide"),
            **same,
        )
    )
