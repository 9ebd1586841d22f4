"""From a grinder's measured points to the setting a guide names for it."""

from __future__ import annotations

from dataclasses import dataclass

from guides.calculations.grind import GrinderTable, Metric, setting_for
from guides.calculations.validity import OutOfRange
from guides.models import Grinder, GrinderPoint


@dataclass(frozen=True)
class GrinderSetting:
    """Where to begin on one grinder: setting, and the median size it really lands on."""

    grinder: str
    slug: str
    setting_word: str
    setting: float
    landed_um: float
    measured_by: Metric


def settings_for(grind_um: float) -> tuple[GrinderSetting, ...]:
    """Give a setting on every grinder whose calibration reaches a median size; the others are left out."""
    grinders = Grinder.objects.prefetch_related("points")
    return tuple(setting for grinder in grinders if (setting := _setting(grinder, grind_um)) is not None)


def table_of(grinder: Grinder) -> GrinderTable:
    """Give a grinder's calibration. Sizes of different metrics do not compare: the one with most points counts."""
    by_metric: dict[str, list[GrinderPoint]] = {}
    for point in sorted(grinder.points.all(), key=lambda point: point.setting):
        by_metric.setdefault(point.measured_by, []).append(point)
    metric, points = max(by_metric.items(), key=lambda entry: len(entry[1]), default=(Metric.LASER.value, []))
    return GrinderTable(
        settings=tuple(float(point.setting) for point in points),
        sizes_um=tuple(float(point.median_um) for point in points),
        click=float(grinder.step),
        metric=Metric(metric),
    )


def _setting(grinder: Grinder, grind_um: float) -> GrinderSetting | None:
    table = table_of(grinder)
    try:
        found = setting_for(table, grind_um)
    except OutOfRange:
        return None
    return GrinderSetting(
        grinder.name, grinder.slug, grinder.setting_word, found.setting, found.landed_um, table.metric
    )
