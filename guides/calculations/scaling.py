"""One recipe in another size: ratios and pour shares stay, clock times are left to the draining bed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from .constants import RETENTION
from .plan import Action, Plan, Step
from .rounding import whole_grams
from .validity import check_range

Rule = Callable[[Sequence[float]], tuple[int, ...]]


def brew_ratio(dose_g: float, water_g: float) -> float:
    """Give the brew ratio: water through the coffee per gram of coffee.

    Args:
        dose_g: dry coffee in g.
        water_g: water poured through it in g.

    Returns:
        W/D in g/g.

    Raises:
        OutOfRange: a dose that is not above 0, or negative water.

    Valid range: dose above 0, water 0 and up.
    Source: definition.

    >>> brew_ratio(16, 264)
    16.5
    """
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    return check_range("water_g", water_g, low=0, reason="water cannot be negative") / dose_g


def dose_g_per_litre(dose_g: float, water_ml: float) -> float:
    """Give the recipe as grams of coffee per litre of water, as cupping tables and brew charts write it.

    Args:
        dose_g: dry coffee in g.
        water_ml: water by volume in mL.

    Returns:
        Grams per litre.

    Raises:
        OutOfRange: no coffee or no water.

    Valid range: both above 0.
    Source: scaa-cupping, scaa-golden-cup-2015.

    >>> round(dose_g_per_litre(8.25, 150), 9)
    55.0
    """
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    return dose_g / check_range("water_ml", water_ml, above=0, reason="a brew needs water") * 1000


def cup_ratio(dose_g: float, water_g: float, bypass_g: float = 0.0, ice_g: float = 0.0) -> float:
    """Give the cup ratio: all water that ends in coffee or cup, ice included, per gram of coffee.

    Args:
        dose_g: dry coffee in g.
        water_g: water poured through it in g.
        bypass_g: water added to the cup in g.
        ice_g: ice in g.

    Returns:
        (W + Y + ice)/D in g/g.

    Raises:
        OutOfRange: a dose that is not above 0, or a negative mass.

    Valid range: dose above 0, the rest 0 and up.
    Source: definition.

    >>> cup_ratio(15, 180, 60)
    16.0
    """
    check_range("bypass_g", bypass_g, low=0, reason="water cannot be negative")
    check_range("ice_g", ice_g, low=0, reason="ice cannot be negative")
    return brew_ratio(dose_g, water_g) + (bypass_g + ice_g) / dose_g


def cup_mass_g(
    dose_g: float,
    water_g: float,
    bypass_g: float = 0.0,
    ice_g: float = 0.0,
    retention_g_g: float = RETENTION.value,
) -> float:
    """Give the mass of the finished cup.

    Args:
        dose_g: dry coffee in g.
        water_g: water poured through it in g.
        bypass_g: water added to the cup in g.
        ice_g: ice melted into the cup in g.
        retention_g_g: liquid the wet grounds keep, in g per g of dose.

    Returns:
        Cup in g; 0 where the grounds keep everything.

    Raises:
        OutOfRange: a dose that is not above 0, a negative mass, or retention outside 0 to 6 g/g.

    Valid range: dose above 0, masses 0 and up, retention 0 to 6 g/g.
    Source: definition; retention own default until trial brews have measured it.

    >>> cup_mass_g(15, 250)
    218.5
    """
    cup_ratio(dose_g, water_g, bypass_g, ice_g)
    check_range("retention_g_g", retention_g_g, low=0, high=6, reason="wet grounds keep one to three times their dose")
    return max(water_g - retention_g_g * dose_g, 0.0) + bypass_g + ice_g


def dose_for_cup_g(cup_g: float, cup_ratio_g_g: float, retention_g_g: float = RETENTION.value) -> float:
    """Give the dose for a wanted cup.

    Args:
        cup_g: wanted cup in g.
        cup_ratio_g_g: all water per gram of coffee.
        retention_g_g: liquid the wet grounds keep, in g per g of dose.

    Returns:
        Dose in g.

    Raises:
        OutOfRange: no cup, or a ratio the grounds would keep whole.

    Valid range: cup above 0, cup ratio above the retention.
    Source: definition.

    >>> round(dose_for_cup_g(300, 16), 2)
    21.58
    """
    check_range("cup_g", cup_g, above=0, reason="a cup of nothing")
    check_range("retention_g_g", retention_g_g, low=0, high=6, reason="wet grounds keep one to three times their dose")
    check_range("cup_ratio_g_g", cup_ratio_g_g, above=retention_g_g, reason="the grounds would keep all the water")
    return cup_g / (cup_ratio_g_g - retention_g_g)


def scale_to_dose(plan: Plan, dose_g: float, rule: Rule | None = None) -> Plan:
    """Scale a plan to a dose. Ratios, pour shares, anchors and times stay; the model then says how times move.

    Args:
        plan: the brew.
        dose_g: wanted dose in g.
        rule: rounding rule for the scale targets, or none to keep full precision.

    Returns:
        The plan in its new size; with a rule its water is whole grams and the last target.

    Raises:
        OutOfRange: a dose that is not above 0, or a plan too small for its pours.

    Valid range: doses above 0.
    Source: definition.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(16, 264, 97, 660, cone, (Step(Action.POUR, 0, 10, 48), Step(Action.POUR, 45, 90, 264)))
    >>> [step.target_g for step in scale_to_dose(plan, 18, whole_grams).steps]
    [54, 297]
    """
    check_range("dose_g", dose_g, above=0, reason="a brew needs coffee")
    check_range("plan.dose_g", plan.dose_g, above=0, reason="a brew needs coffee")
    factor = dose_g / plan.dose_g
    scaled = replace(
        plan,
        dose_g=float(dose_g),
        water_g=plan.water_g * factor,
        bypass_g=plan.bypass_g * factor,
        ice_g=plan.ice_g * factor,
        steps=tuple(
            replace(step, target_g=None if step.target_g is None else step.target_g * factor) for step in plan.steps
        ),
    )
    return scaled if rule is None else rounded(scaled, rule)


def scale_to_water(plan: Plan, water_g: float, rule: Rule | None = None) -> Plan:
    """Scale a plan to a mass of water through the coffee.

    Args:
        plan: the brew.
        water_g: wanted water in g.
        rule: rounding rule for the scale targets, or none to keep full precision.

    Returns:
        The plan in its new size.

    Raises:
        OutOfRange: no water wanted, or a plan without water.

    Valid range: water above 0.
    Source: definition.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> scale_to_water(Plan(16, 256, 97, 660, cone, ()), 320).dose_g
    20.0
    """
    check_range("water_g", water_g, above=0, reason="a brew needs water")
    check_range("plan.water_g", plan.water_g, above=0, reason="a brew needs water")
    return scale_to_dose(plan, plan.dose_g * water_g / plan.water_g, rule)


def scale_to_cup(plan: Plan, cup_g: float, retention_g_g: float = RETENTION.value, rule: Rule | None = None) -> Plan:
    """Scale a plan to a wanted cup.

    Args:
        plan: the brew.
        cup_g: wanted cup in g, bypass and melted ice included.
        retention_g_g: liquid the wet grounds keep, in g per g of dose.
        rule: rounding rule for the scale targets, or none to keep full precision.

    Returns:
        The plan in its new size.

    Raises:
        OutOfRange: no cup, or a ratio the grounds would keep whole.

    Valid range: cup above 0, cup ratio above the retention.
    Source: definition.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> round(scale_to_cup(Plan(15, 240, 97, 660, cone, ()), 300).dose_g, 2)
    21.58
    """
    ratio = cup_ratio(plan.dose_g, plan.water_g, plan.bypass_g, plan.ice_g)
    return scale_to_dose(plan, dose_for_cup_g(cup_g, ratio, retention_g_g), rule)


def rounded(plan: Plan, rule: Rule = whole_grams) -> Plan:
    """Round the scale targets of a plan; water, bypass and ice become whole grams and add up as before.

    Args:
        plan: the brew, its pour targets rising.
        rule: rounding rule for the pour targets.

    Returns:
        The plan with whole grams; the last pour's target is the water exactly.

    Raises:
        OutOfRange: targets that do not rise, or less water than a gram a pour.

    Valid range: as for the rule.
    Source: rounding rule of the same name.

    >>> from .vessel import Brewer, Cone, Flow
    >>> cone = Brewer(Cone(30, 10), 500, 60, Flow.OPEN)
    >>> plan = Plan(15, 240.3, 93, 700, cone, (Step(Action.POUR, 0, 10, 48.4), Step(Action.POUR, 30, 90, 240.3)))
    >>> rounded(plan).water_g
    240
    """
    pours = [step.target_g for step in plan.steps if step.action is Action.POUR and step.target_g is not None]
    ice_g, bypass_g = (rule([mass])[0] if mass >= 1 else 0 for mass in (plan.ice_g, plan.bypass_g))
    if not pours:
        return replace(plan, water_g=rule([plan.water_g])[0], bypass_g=bypass_g, ice_g=ice_g)
    targets = iter(rule(pours))
    water_g = rule([plan.water_g])[0]
    steps: list[Step] = []
    for step in plan.steps:
        if step.target_g is None:
            steps.append(step)
        elif step.action is Action.POUR:
            steps.append(replace(step, target_g=next(targets)))
        else:
            steps.append(
                replace(step, target_g=round(step.target_g - plan.water_g - plan.bypass_g) + water_g + bypass_g)
            )
    return replace(plan, water_g=water_g, bypass_g=bypass_g, ice_g=ice_g, steps=tuple(steps))
