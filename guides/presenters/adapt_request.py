"""What a reader asks of a guide, as an address says it. Pages, the brewing page and the API read the same parameters.

========== =====================================================================================
parameter  meaning
========== =====================================================================================
size       ``1`` or ``2`` cups, or ``full``: as much as the brewer holds
dose       coffee to brew with, in g unless ``mass`` says otherwise
bag        coffee left in the bag, to be finished; in the same unit as ``dose``
brewer     one of the roastery's, by its address word, or ``own``
holds      cold water the brewer holds up to its line, weighed once; counts more than ``height``
wall       own brewer: ``cone`` (60 degrees) or ``straight``
way        own brewer: ``open``, ``valve`` or ``closed``
made       own brewer: ``plastic`` or ``glass`` (also ceramic, metal)
height     own brewer, not weighed: from outlet to line, in mm
across     own brewer: width of the outlet of a cone, or of a straight wall inside, in mm
grinder    one of the roastery's, by its address word, or ``own``
points     own grinder: ``setting:micrometres``, three or more: ``14:480 20:690 26:900``
click      own grinder: its smallest step
drained    when this guide, brewed as written, had drained: two or more times, ``2:50 3:05``
at         the grinder's setting in the brews of ``drained``, where it was not the guide's own
offset     what brews as in ``drained`` have said of the grinder before, in micrometres
altitude   height above the sea, in m unless ``alt`` says otherwise
boils      what water boils at, instead of the altitude
hardness   of the tap water, in the unit that ``water`` names
alkalinity of the tap water, in the unit that ``water`` names
water      unit of hardness and alkalinity: ``mg_l``, ``mmol_l``, ``german``, ``french``, ``clark``, ``grain``
mass       unit typed and shown: ``g`` or ``oz``
temp       unit typed and shown: ``c`` or ``f``
vol        unit shown: ``ml``, ``us`` or ``imp`` (fluid ounces)
alt        unit of the altitude, typed and shown: ``m`` or ``ft``
========== =====================================================================================

At most one of ``size``, ``dose`` and ``bag``, one of ``altitude`` and ``boils``; what is empty stays as in the guide.
Parameters are only ever added: their addresses are bookmarked and shared.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Final
from urllib.parse import urlencode

from guides.calculations.own_brewer import Material, Wall
from guides.calculations.vessel import Flow
from guides.calculations.water import Unit

from . import typed
from .typed import Problem, Wrong
from .units import Altitude, Mass, Temperature, Units, Volume

OWN: Final = "own"
FULL: Final = "full"
FORM: Final = "form"
"""Opens the form, filled with the rest of the address; no wish itself."""
SIZES: Final = ("1", "2", FULL)


@dataclass(frozen=True)
class AdaptRequest:
    """What a reader asks, as typed.

    Masses in ``mass``, ``boils`` in ``temp``, ``altitude`` in ``alt``, the tap water in ``water``, lengths in mm.
    """

    size: str = ""
    dose: float | None = None
    bag: float | None = None
    brewer: str = ""
    holds: float | None = None
    wall: Wall = Wall.CONE
    way: Flow = Flow.OPEN
    made: Material = Material.PLASTIC
    height: float | None = None
    across: float | None = None
    grinder: str = ""
    points: tuple[tuple[float, float], ...] = ()
    click: float = 1.0
    drained: tuple[int, ...] = ()
    at: float | None = None
    offset: float | None = None
    altitude: float | None = None
    boils: float | None = None
    hardness: float | None = None
    alkalinity: float | None = None
    water: Unit = Unit.MG_L
    mass: Mass = Mass.GRAM
    temp: Temperature = Temperature.CELSIUS
    vol: Volume = Volume.MILLILITRE
    alt: Altitude = Altitude.METRE

    @property
    def units(self) -> Units:
        return Units(self.mass, self.temp, self.vol, self.alt)


NAMES: Final = tuple(each.name for each in fields(AdaptRequest))
# What a phone keeps: what belongs to a kitchen, not to one brew.
GEAR: Final = tuple(name for name in NAMES if name not in ("size", "dose", "bag", "drained", "at"))
_DEFAULTS: Final = AdaptRequest()
# A choice that means nothing without what it belongs to; left out of addresses then.
_OF_OWN_BREWER: Final = ("wall", "way", "made", "height", "across")


@dataclass(frozen=True)
class Parsed:
    """An address read. ``typed`` is every parameter as it came; ``request`` is ``None`` where there are problems."""

    typed: Mapping[str, str] = field(default_factory=dict)
    request: AdaptRequest | None = None
    problems: tuple[Problem, ...] = ()


def parse(parameters: Mapping[str, str]) -> Parsed:
    """Read the parameters of an address; unknown ones are passed over, empty ones ask for nothing.

    Args:
        parameters: by name, one text each.

    Returns:
        The request, or every problem with its field. What was typed comes along either way.
    """
    given = {name: parameters[name].strip() for name in NAMES if parameters.get(name, "").strip()}
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    for name, text in given.items():
        try:
            if len(text) > typed.LONGEST:
                raise Wrong("too_long")
            values[name] = _READERS[name](text)
        except Wrong as wrong:
            problems.append(Problem(name, wrong.code))
    problems += [each for each in _at_odds(given) if each.field not in {problem.field for problem in problems}]
    if problems:
        return Parsed(given, None, tuple(problems))
    return Parsed(given, _settled(AdaptRequest(**values)))


def to_query(request: AdaptRequest, only: tuple[str, ...] = NAMES) -> str:
    """Write a request as the query of an address: in one order, without what is as in the guide.

    Args:
        request: what a reader asks.
        only: names to write.

    Returns:
        The part behind the question mark; empty for a request that asks for nothing.
    """
    pairs = [
        (name, _written(getattr(request, name)))
        for name in NAMES
        if name in only and getattr(request, name) != getattr(_DEFAULTS, name)
    ]
    return urlencode(pairs, safe=":")


def _written(value: Any) -> str:
    match value:
        case str():
            return str(value)
        case float() | int():
            return typed.plain(value)
        case ((_, _), *_):
            return " ".join(f"{typed.plain(setting)}:{typed.plain(size)}" for setting, size in value)
        case _:
            return " ".join(typed.plain_time(time) for time in value)


def _at_odds(values: Mapping[str, str]) -> list[Problem]:
    """What fields say against each other."""
    problems = []
    sizes = [name for name in ("size", "dose", "bag") if name in values]
    problems += [Problem(name, "two_sizes") for name in sizes[1:]]
    if "altitude" in values and "boils" in values:
        problems.append(Problem("boils", "two_places"))
    if values.get("brewer", OWN) != OWN:
        problems += [Problem(name, "not_own_brewer") for name in ("height", "across") if name in values]
    if "points" in values and values.get("grinder", OWN) != OWN:
        problems.append(Problem("points", "not_own_grinder"))
    if values.get("grinder") == OWN and "points" not in values:
        problems.append(Problem("points", "points_missing"))
    if values.get("brewer") == OWN and not {"holds", "height"} & values.keys():
        problems.append(Problem("holds", "measure_missing"))
    return problems


def _settled(request: AdaptRequest) -> AdaptRequest:
    """Leave out what means nothing, and name what is meant, so that one wish has one address."""
    changes: dict[str, Any] = {}
    described = any(getattr(request, name) != getattr(_DEFAULTS, name) for name in _OF_OWN_BREWER)
    own_brewer = request.brewer == OWN or (not request.brewer and described)
    own_grinder = request.grinder == OWN or bool(request.points)
    if own_brewer and (request.brewer or request.holds is not None or request.height is not None):
        changes["brewer"] = OWN
    else:
        changes |= {name: getattr(_DEFAULTS, name) for name in _OF_OWN_BREWER}
    if own_grinder:
        changes["grinder"] = OWN
    else:
        changes["click"] = _DEFAULTS.click
    if request.hardness is None and request.alkalinity is None:
        changes["water"] = _DEFAULTS.water
    if not request.drained:
        changes["at"] = None
    if not (request.grinder or own_grinder):
        changes |= {"at": None, "offset": None}
    return _replaced(request, changes)


def _replaced(request: AdaptRequest, changes: Mapping[str, Any]) -> AdaptRequest:
    return AdaptRequest(**{name: changes.get(name, getattr(request, name)) for name in NAMES})


_READERS: Final[dict[str, Callable[[str], Any]]] = {
    "size": lambda text: typed.word(text, SIZES),
    "brewer": typed.slug,
    "wall": lambda text: Wall(typed.word(text, list(Wall))),
    "way": lambda text: Flow(typed.word(text, list(Flow))),
    "made": lambda text: Material(typed.word(text, list(Material))),
    "grinder": typed.slug,
    "points": typed.pairs,
    "drained": typed.times,
    "water": lambda text: Unit(typed.word(text, list(Unit))),
    "mass": lambda text: Mass(typed.word(text, list(Mass))),
    "temp": lambda text: Temperature(typed.word(text, list(Temperature))),
    "vol": lambda text: Volume(typed.word(text, list(Volume))),
    "alt": lambda text: Altitude(typed.word(text, list(Altitude))),
    **dict.fromkeys(("dose", "bag", "holds", "height", "across", "click"), typed.number),
    **dict.fromkeys(("at", "offset", "altitude", "boils", "hardness", "alkalinity"), typed.number),
}
