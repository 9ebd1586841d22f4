"""Guides: written, tried, submitted, check brewed and published, each from its TOML file.

Drained times of the trial brews are invented data, chosen so that the learnt flow factors come out near Rope Walk 1.1,
Outer Mark 0.9 and Kelp Light 1.2.
"""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from guides.calculations.filling import fill_shut
from guides.lifecycle import assessing, assign, draft, publish, review, trials
from guides.lifecycle.plan_of import plan_of
from guides.models import Brewer, Coffee, Guide, GuideVersion, Lot, Step, StepText, TrialBrew, User, VersionText
from guides.queries import house

from .clock import moment
from .world import FOLDER, Table, read

_WRITER, _PUBLISHER = "ilmo", "tove"
_AS_MUCH_AS_FITS = "as much as fits"


def build(today: datetime.date) -> None:
    """Publish every guide of the demo, oldest first, as the staff would have."""
    tables = [read(path.name) for path in sorted(FOLDER.glob("guide_*.toml"))]
    for table in sorted(tables, key=lambda table: -int(table["published_days_ago"])):
        _guide(table, today)


def _guide(table: Table, today: datetime.date) -> None:
    writer, publisher = User.objects.get(username=_WRITER), User.objects.get(username=_PUBLISHER)
    guide = Guide.objects.create(
        number=table["number"], slug=table["slug"], coffee=Coffee.objects.get(code=table["coffee"])
    )
    version = _version(guide, table, writer)
    *tried, checked = table["trials"]
    for row in tried:
        _trial(version, row, today)
    _fill_what_fits(version, table)
    review.submit(version, by=writer, at=moment(today, checked["days_ago"], hour=9))
    _trial(version, checked, today, is_check_brew=True)
    version.refresh_from_db()
    publish.publish(version, by=publisher, at=moment(today, table["published_days_ago"], hour=15))
    for name in table["lots"]:
        assign.assign(Lot.objects.get(name=name), guide, by=writer)


def _version(guide: Guide, table: Table, writer: User) -> GuideVersion:
    words = dict(table["words"])
    version = GuideVersion(
        guide=guide, brewer=Brewer.objects.get(name=table["brewer"]), language="en", **words.pop("en"), **table["plan"]
    )
    version.full_clean()
    version.save()
    draft.record_created(version, by=writer)
    for language, texts in words.items():
        VersionText.objects.create(version=version, language=language, **texts)
    for position, row in enumerate(table["steps"], start=1):
        _step(version, position, dict(row))
    return version


def _step(version: GuideVersion, position: int, row: Table) -> None:
    texts = {language: row.pop(language) for language in ("en", "sv", "fi")}
    if row.get("target_g") == _AS_MUCH_AS_FITS:
        row["target_g"] = version.water_g
    step = Step(version=version, position=position, **row, **texts.pop("en"))
    step.full_clean()
    step.save()
    for language, words in texts.items():
        StepText.objects.create(step=step, language=language, **words)


def _fill_what_fits(version: GuideVersion, table: Table) -> None:
    """Let the pour that fills the brewer go no higher than fits; the rest joins the water for the cup."""
    filling = [number for number, row in enumerate(table["steps"], 1) if row.get("target_g") == _AS_MUCH_AS_FITS]
    if not filling:
        return
    fits_g = Decimal(fill_shut(plan_of(version), assessing.conditions_for(version)).water_g)
    rest_g = max(version.water_g - fits_g, Decimal(0))
    version.water_g -= rest_g
    version.bypass_g += rest_g
    version.save()
    version.steps.filter(position__in=filling).update(target_g=version.water_g)


def _trial(version: GuideVersion, row: Table, today: datetime.date, **extra: Any) -> None:
    values = dict(row)
    record(
        version,
        lot=Lot.objects.get(name=values.pop("lot")),
        by=User.objects.get(username=values.pop("by")),
        at=moment(today, values.pop("days_ago"), hour=11),
        **values,
        **extra,
    )


def record(version: GuideVersion, *, lot: Lot, by: User, at: datetime.datetime, **measured: Any) -> TrialBrew:
    """Log a brew that followed a version's plan, with what was measured and what was done otherwise."""
    planned = {name: getattr(version, name) for name in ("dose_g", "water_g", "bypass_g", "kettle_c", "grind_um")}
    tap = house.current()
    water = {"hardness_mg_l": tap.tap_hardness_mg_l, "alkalinity_mg_l": tap.tap_alkalinity_mg_l}
    brew = TrialBrew(
        lot=lot, version=version, brewer=version.brewer, brewed_by=by, brewed_at=at, **{**planned, **water, **measured}
    )
    brew.full_clean()
    return trials.log(brew, by=by)
