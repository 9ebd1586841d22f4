"""Prevented by triggers, detected by hashes: with the guards off, every kind of change is found."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from guides.calculations.assessment import Assessment
from guides.lifecycle import verify as room
from guides.lifecycle.verify import Kind, verify
from guides.models import Brewer, Coffee, Guide, GuideVersion, Step, VersionText, triggers
from guides.queries import versions
from tests.factories import GuideVersionFactory, published

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def printed() -> GuideVersion:
    draft = GuideVersionFactory()
    VersionText.objects.create(version=draft, language="sv", title="Titel")
    return published(draft)


def change_snapshot(version: GuideVersion, change: Callable[[dict[str, Any]], None]) -> None:
    kept = GuideVersion.objects.get(pk=version.pk).snapshot
    change(kept)
    GuideVersion.objects.filter(pk=version.pk).update(snapshot=kept)


CHANGES: dict[str, tuple[Callable[[GuideVersion], object], set[Kind]]] = {
    "a column": (lambda v: GuideVersion.objects.filter(pk=v.pk).update(dose_g="17.0"), {Kind.ROWS}),
    "a step": (lambda v: Step.objects.filter(version=v, position=1).update(target_g=50), {Kind.ROWS}),
    "a step gone": (lambda v: Step.objects.filter(version=v, position=5).delete(), {Kind.ROWS}),
    "a word": (lambda v: VersionText.objects.filter(version=v).update(title="Annan"), {Kind.ROWS}),
    "a why-note": (lambda v: Step.objects.filter(version=v, position=1).update(why="Other."), {Kind.ROWS}),
    "the guide's number": (lambda v: Guide.objects.filter(pk=v.guide_id).update(number=999), {Kind.ROWS}),
    "the formulas' edition": (
        lambda v: GuideVersion.objects.filter(pk=v.pk).update(calculation_version="0"),
        {Kind.ROWS},
    ),
    "the hash": (lambda v: GuideVersion.objects.filter(pk=v.pk).update(sha256="0" * 64), {Kind.HASH}),
    "a kept number": (
        lambda v: change_snapshot(v, lambda kept: kept["assessment"]["cup_g"].update(likely=1.0)),
        {Kind.HASH, Kind.NUMBERS},
    ),
    "a kept word": (
        lambda v: change_snapshot(v, lambda kept: kept["words"]["en"].update(title="Other")),
        {Kind.HASH, Kind.ROWS},
    ),
    "a kept part gone": (
        lambda v: change_snapshot(v, lambda kept: kept.pop("targets")),
        {Kind.HASH, Kind.UNREADABLE},
    ),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_behind_the_guards_is_found(printed: GuideVersion, name: str) -> None:
    change, kinds = CHANGES[name]
    assert verify(versions.by_id(printed.pk)) == []
    if connection.vendor == "postgresql":
        connection.cursor().execute("SET CONSTRAINTS ALL IMMEDIATE")
    triggers.remove(connection)
    change(printed)
    drifts = verify(versions.by_id(printed.pk))
    assert {drift.kind for drift in drifts} == kinds
    assert not any(drift.expected for drift in drifts)


def test_what_may_change_is_no_drift(printed: GuideVersion) -> None:
    Brewer.objects.update(name="Renamed")
    printed.brewer.vessel.usable_ml += 50
    printed.brewer.vessel.save()
    Coffee.objects.update(name="Renamed")
    assert verify(versions.by_id(printed.pk)) == []


def better(kept_assess: Callable[..., Assessment], by: float) -> Callable[..., Assessment]:
    def assess(*inputs: Any) -> Assessment:
        was = kept_assess(*inputs)
        return replace(was, peak_level_mm=was.peak_level_mm * by)

    return assess


def test_formulas_that_moved_are_told_from_tampering(printed: GuideVersion, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "assess", better(room.assess, 1.01))
    [drift] = verify(versions.by_id(printed.pk))
    assert (drift.kind, drift.what, drift.expected) == (Kind.NUMBERS, "peak_level_mm", False)
    monkeypatch.setattr(room, "CALCULATION_VERSION", "99")
    [drift] = verify(versions.by_id(printed.pk))
    assert drift.expected


def test_rounding_is_no_drift(printed: GuideVersion, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "assess", better(room.assess, 1.0005))
    assert verify(versions.by_id(printed.pk)) == []


def run() -> str:
    out = io.StringIO()
    call_command("verify_published", stdout=out)
    return out.getvalue()


def test_the_command_counts_what_is_well(printed: GuideVersion, draft: GuideVersion) -> None:
    published()
    assert run() == "2 published versions checked, 0 numbers moved with the formulas.\n"


def test_the_command_reports_moved_numbers_and_is_content(
    printed: GuideVersion, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(room, "assess", better(room.assess, 1.01))
    monkeypatch.setattr(room, "CALCULATION_VERSION", "99")
    said = run()
    assert f"guide {printed.guide.number}, revision 1: peak_level_mm: today's formulas give another number" in said
    assert "1 numbers moved" in said


def test_the_command_fails_on_tampering(printed: GuideVersion) -> None:
    if connection.vendor == "postgresql":
        connection.cursor().execute("SET CONSTRAINTS ALL IMMEDIATE")
    triggers.remove(connection)
    GuideVersion.objects.filter(pk=printed.pk).update(dose_g="17.0")
    with pytest.raises(CommandError, match=r"1 findings .* Restore the rows above from a backup"):
        run()
