"""Learning a coffee: twenty trial brews from nothing, one more when the others' factors are kept, and its bench."""

from __future__ import annotations

from collections.abc import Iterator

from guides.calculations.drain_curve import drain_curve
from guides.calculations.drawdown import simulate
from guides.calculations.flow import drain_window, factor_from_drained_time
from guides.calculations.learnt_flow import new_brew_factor, posterior
from tests.benchmarks.brewing import SIX_POURS
from tests.benchmarks.measuring import Line, at_least, best_ms, took

TRIALS = 20
MANY = 200


def run() -> Iterator[Line]:
    """Learn from twenty drained times, then from one more."""
    drained = [simulate(SIX_POURS, flow_factor=0.7 + 0.03 * index).drained_s or 0.0 for index in range(TRIALS)]
    kept = [factor_from_drained_time(SIX_POURS, drained_s) for drained_s in drained]
    from_nothing_ms = best_ms(
        lambda: posterior([factor_from_drained_time(SIX_POURS, drained_s) for drained_s in drained]), 5
    )
    one_more_ms = best_ms(lambda: posterior([*kept[1:], factor_from_drained_time(SIX_POURS, drained[0])]), 5)
    yield took(f"learning from {TRIALS} trial brews, from nothing", from_nothing_ms, 1000)
    yield took("learning from one more, the others' factors kept", one_more_ms, 60)
    yield at_least("keeping the factors saves, with one more trial", from_nothing_ms / one_more_ms, 5)
    yield took("window of the next brew", best_ms(lambda: drain_window(SIX_POURS, kept), 5), 60)
    many = [kept[index % TRIALS] for index in range(MANY)]
    windows_ms = best_ms(lambda: [new_brew_factor(many[:index]) for index in range(MANY + 1)], 5)
    yield took(f"windows after none to {MANY} trial brews", windows_ms, 60)
    whole_ms = best_ms(lambda: drain_curve(SIX_POURS), 3)
    stretch_ms = best_ms(lambda: drain_curve(SIX_POURS, slowest=min(kept), fastest=max(kept)), 3)
    yield took("putting them on the clock of a new plan", stretch_ms, 60)
    yield at_least("simulating only the stretch that is read saves", whole_ms / stretch_ms, 2)
