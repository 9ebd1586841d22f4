"""Hypothesis strategies: plans a person could type, sound or not, and numbers nobody brews with."""

import math

from hypothesis import strategies as st

from guides.calculations.assessment import Conditions, Targets
from guides.calculations.freshness import GasLevel
from guides.calculations.plan import Action, Anchor, Height, Path, Plan, Step
from guides.calculations.vessel import Brewer, Cone, Cylinder, Flow, LevelTable

SHAPES = st.one_of(
    st.builds(Cone, st.floats(15, 60), st.floats(2, 20)),
    st.builds(Cylinder, st.floats(20, 90)),
    st.just(LevelTable((0, 30, 60, 100), (0, 40, 160, 500))),
)
BREWERS = st.builds(Brewer, SHAPES, st.floats(60, 2000), st.floats(0, 400), st.sampled_from(Flow))
MOMENTS = st.integers(0, 300)
STEPS = st.builds(
    lambda action, start, lasts, target, anchor, height, path: Step(
        action, start, max(start + lasts, 0), target, anchor, height, path
    ),
    st.sampled_from([Action.POUR] * 4 + list(Action)),
    MOMENTS,
    st.integers(-5, 60),
    st.one_of(st.none(), st.integers(1, 600)),
    st.sampled_from([Anchor.START] * 4 + list(Anchor)),
    st.one_of(st.none(), st.sampled_from(Height)),
    st.one_of(st.none(), st.sampled_from(Path)),
)
PLANS = st.builds(
    Plan,
    dose_g=st.floats(1, 80),
    water_g=st.floats(1, 900),
    kettle_c=st.floats(0, 110),
    grind_um=st.floats(150, 2000),
    brewer=BREWERS,
    steps=st.lists(STEPS, max_size=7).map(tuple),
    bypass_g=st.one_of(st.just(0.0), st.floats(0, 300)),
    ice_g=st.one_of(st.just(0.0), st.floats(0, 200)),
    valve_shut_at_start=st.booleans(),
)
CONDITIONS = st.builds(
    Conditions,
    altitude_m=st.floats(-400, 5000),
    room_c=st.floats(0, 45),
    gas=st.sampled_from(GasLevel),
    trial_flow_factors=st.lists(st.floats(0.3, 3), max_size=4).map(tuple),
    trial_retentions=st.lists(st.floats(1, 3), max_size=4).map(tuple),
)
TARGETS = st.builds(
    lambda low, more, extraction, drip: Targets(low, None if low is None else low + more, extraction, drip),
    st.one_of(st.none(), st.floats(0.002, 0.03)),
    st.floats(0, 0.005),
    st.one_of(st.none(), st.floats(0.1, 0.3)),
    st.one_of(st.none(), st.floats(0, 400)),
)
NONSENSE = st.sampled_from([math.nan, math.inf, -math.inf, -1.0, 1e9])
