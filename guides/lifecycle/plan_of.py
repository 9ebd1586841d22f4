"""From rows to what the calculation room speaks of: a plan, its brewer, its targets."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from guides.calculations import plan, vessel
from guides.calculations.assessment import Targets
from guides.choices import VesselShape
from guides.models import Brewer, GuideVersion, Step, Vessel


def plan_of(version: GuideVersion, steps: Iterable[Step] | None = None) -> plan.Plan:
    """Give the plan of a version as it stands, steps in order; or with steps that are not saved yet."""
    return plan.Plan(
        dose_g=float(version.dose_g),
        water_g=float(version.water_g),
        kettle_c=float(version.kettle_c),
        grind_um=float(version.grind_um),
        brewer=brewer_of(version.brewer),
        steps=tuple(_step_of(step) for step in (version.steps.all() if steps is None else steps)),
        bypass_g=float(version.bypass_g),
        bypass_to_taste=version.bypass_to_taste,
        ice_g=float(version.ice_g),
        valve_shut_at_start=version.valve_shut_at_start,
    )


def targets_of(version: GuideVersion) -> Targets:
    """Give what a version promises the cup to be; percentages become fractions."""
    return Targets(
        strength_low=_fraction(version.strength_low_percent),
        strength_high=_fraction(version.strength_high_percent),
        extraction=_fraction(version.extraction_percent),
    )


def brewer_of(brewer: Brewer) -> vessel.Brewer:
    """Give the geometry, capacity, heat and way out of a brewer."""
    return vessel.Brewer(
        shape=_shape_of(brewer.vessel),
        usable_ml=float(brewer.vessel.usable_ml),
        heat_j_per_k=float(brewer.vessel.heat_j_per_k),
        flow=vessel.Flow(brewer.outflow),
    )


def _shape_of(row: Vessel) -> vessel.Shape:
    # The constraint vessel_shape_complete keeps the columns of each shape filled.
    if row.shape == VesselShape.CONE:
        return vessel.Cone(float(row.half_angle_deg or 0), float(row.outlet_radius_mm or 0))
    return vessel.Cylinder(float(row.radius_mm or 0))


def _step_of(row: Step) -> plan.Step:
    return plan.Step(
        action=plan.Action(row.action),
        start_s=float(row.start_s),
        end_s=float(row.end_s),
        target_g=None if row.target_g is None else float(row.target_g),
        anchor=plan.Anchor(row.anchor),
        height=plan.Height(row.height) if row.height else None,
        path=plan.Path(row.path) if row.path else None,
        turns=row.turns,
    )


def _fraction(percent: Decimal | None) -> float | None:
    return None if percent is None else float(Decimal(percent) / 100)
