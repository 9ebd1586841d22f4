"""The guides of the invented world, as plans."""

from guides.calculations.assessment import Conditions, Targets
from guides.calculations.freshness import GasLevel
from guides.calculations.grind import GrinderTable
from guides.calculations.plan import Action, Anchor, Height, Path, Plan, Step
from guides.calculations.vessel import Brewer, Cone, Cylinder, Flow

TIDEGATE_S = Brewer(Cone(30, 10), 240, 35, Flow.VALVE)
TIDEGATE_L = Brewer(Cone(30, 10), 560, 60, Flow.VALVE)
MAST_CONE = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
BELL_JAR = Brewer(Cylinder(45), 900, 150, Flow.CLOSED)

HARROW = GrinderTable((3, 5, 7, 9), (450, 690, 930, 1190), 0.25)
THIMBLE = GrinderTable((14, 20, 26, 32), (480, 690, 900, 1120), 1)


def pour(start_s: float, end_s: float, target_g: float, path: Path = Path.SPIRAL_OUT) -> Step:
    return Step(Action.POUR, start_s, end_s, target_g, height=Height.LOW, path=path)


ROPE_WALK_S = Plan(
    dose_g=15,
    water_g=180,
    kettle_c=92,
    grind_um=740,
    brewer=TIDEGATE_S,
    bypass_g=60,
    bypass_to_taste=True,
    valve_shut_at_start=True,
    steps=(
        pour(0, 12, 60, Path.SPIRAL_IN),
        pour(40, 60, 120),
        Step(Action.STIR, 65, 68, turns=1),
        Step(Action.OPEN, 75, 75),
        pour(85, 105, 180),
        Step(Action.ADD_BYPASS, 0, 10, 240, Anchor.DRAINED),
    ),
)
ROPE_WALK_L = Plan(
    dose_g=24,
    water_g=384,
    kettle_c=91,
    grind_um=740,
    brewer=TIDEGATE_L,
    valve_shut_at_start=True,
    steps=(pour(0, 15, 96), pour(40, 70, 260), Step(Action.OPEN, 90, 90), pour(100, 125, 384)),
)
OUTER_MARK = Plan(
    dose_g=16,
    water_g=264,
    kettle_c=97,
    grind_um=660,
    brewer=MAST_CONE,
    steps=(
        pour(0, 10, 48),
        pour(45, 60, 120),
        pour(75, 90, 192),
        pour(105, 120, 264),
        Step(Action.SWIRL, 125, 128, turns=1),
    ),
)
WINTER_KEEL = Plan(
    dose_g=32,
    water_g=480,
    kettle_c=95,
    grind_um=950,
    brewer=BELL_JAR,
    steps=(
        pour(0, 30, 480),
        Step(Action.STIR, 35, 45, turns=3),
        Step(Action.LID, 45, 45),
        Step(Action.BREAK_CRUST, 240, 260),
        Step(Action.DECANT, 480, 520),
    ),
)
OUTER_MARK_ICED = Plan(
    dose_g=20,
    water_g=190,
    kettle_c=98,
    grind_um=600,
    brewer=MAST_CONE,
    ice_g=110,
    steps=(pour(0, 12, 60), pour(50, 70, 130), pour(85, 105, 190), Step(Action.SWIRL, 0, 10, None, Anchor.DRAINED)),
)
KELP_LIGHT = Plan(
    dose_g=40,
    water_g=560,
    kettle_c=91,
    grind_um=820,
    brewer=TIDEGATE_L,
    bypass_g=80,
    steps=(
        pour(0, 20, 120),
        pour(50, 75, 280),
        Step(Action.SHUT, 90, 90),
        pour(95, 125, 560),
        Step(Action.OPEN, 165, 165),
        Step(Action.ADD_BYPASS, 0, 15, 640, Anchor.DRAINED),
    ),
)

DEMO: dict[str, tuple[Plan, Conditions, Targets]] = {
    "rope walk S": (ROPE_WALK_S, Conditions(3, gas=GasLevel.LIVELY), Targets(0.0125, 0.0135)),
    "rope walk L": (ROPE_WALK_L, Conditions(3, gas=GasLevel.LIVELY), Targets()),
    "outer mark": (OUTER_MARK, Conditions(3, gas=GasLevel.RESTED), Targets(0.0146, 0.0146, 0.21)),
    "winter keel": (WINTER_KEEL, Conditions(3, gas=GasLevel.VERY_FRESH), Targets(0.0135, 0.0138)),
    "outer mark iced": (OUTER_MARK_ICED, Conditions(3, gas=GasLevel.RESTED), Targets()),
    "kelp light": (KELP_LIGHT, Conditions(3, gas=GasLevel.RESTED), Targets()),
}
