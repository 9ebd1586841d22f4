"""The form in which a reader says what they have: its fields, filled with what they typed, errors beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.utils.translation import gettext, override

from guides.calculations.own_brewer import Material, Wall
from guides.calculations.serving import cups_g
from guides.calculations.vessel import Flow
from guides.calculations.water import Unit
from guides.lifecycle.snapshot import Snapshot

from . import problem_words
from .adapt_request import FORM, FULL, GEAR, NAMES, OWN, AdaptRequest, Parsed, to_query
from .numbers import Figures
from .typed import Problem
from .units import METRIC, Altitude, Mass, Temperature, Units, Volume

Choices = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Field:
    """One field. ``choices`` empty: typed; ``error`` says what is wrong and what to do."""

    name: str
    label: str
    value: str
    hint: str = ""
    error: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    words: bool = False


@dataclass(frozen=True)
class Group:
    """Fields that belong together; ``folded`` ones lie under ``more``, opened where one of them is filled."""

    title: str
    fields: tuple[Field, ...]
    more: str = ""
    folded: tuple[Field, ...] = ()
    open: bool = False


@dataclass(frozen=True)
class Shortcut:
    """A size in one tap."""

    label: str
    note: str
    query: str
    current: bool


@dataclass(frozen=True)
class AdaptForm:
    """Everything under "Make it yours".

    ``problems`` counts what is wrong, ``general`` says what belongs to no field; ``kept`` rides along in every address.
    ``address`` is the query of the form, ``back`` of the guide as it is asked for now. ``gear`` names the parameters
    that a phone keeps, ``gear_here`` is what the address says of them.
    """

    shortcuts: tuple[Shortcut, ...]
    groups: tuple[Group, ...]
    problems: int
    general: str
    kept: tuple[tuple[str, str], ...]
    address: str
    back: str
    gear: str
    gear_here: str


def build(
    kept: Snapshot,
    parsed: Parsed,
    brewers: Choices,
    grinders: Choices,
    language: str,
    problems: Sequence[Problem] = (),
    along: Mapping[str, str] | None = None,
) -> AdaptForm:
    """Lay out the form.

    Args:
        kept: the guide.
        parsed: what the address says.
        brewers: address word and name of the roastery's.
        grinders: address word and name of the roastery's.
        language: of the words and numbers.
        problems: found after parsing.
        along: other parameters of the address that must stay.
    """
    units = parsed.request.units if parsed.request else _typed_units(parsed.typed)
    figures = Figures(language, units)
    wrong = {problem.field: problem for problem in (*problems, *parsed.problems)}
    with override(language):
        make = _Maker(parsed.typed, {name: problem_words.message(each, figures) for name, each in wrong.items()})
        along, asked = along or {}, parsed.request or AdaptRequest()
        return AdaptForm(
            shortcuts=tuple(_shortcuts(kept, asked, figures, along)),
            groups=tuple(_groups(make, brewers, grinders, units)),
            problems=len(wrong.keys() & set(NAMES)),
            general=make.errors.get("", ""),
            kept=tuple(along.items()),
            address=_query(f"{FORM}=1", to_query(asked), along=along),
            back=_query(to_query(asked), along=along),
            gear=" ".join(GEAR),
            gear_here=to_query(asked, GEAR),
        )


def _shortcuts(kept: Snapshot, asked: AdaptRequest, figures: Figures, along: Mapping[str, str]) -> list[Shortcut]:
    gear = {name: getattr(asked, name) for name in GEAR}
    whole_g = kept.assessment.cup_g.likely

    def shortcut(size: str, label: str, note: str) -> Shortcut:
        query = _query(to_query(AdaptRequest(**{**gear, "size": size})), along=along)
        return Shortcut(label, note, query, asked.size == size)

    return [
        shortcut("1", gettext("One cup"), figures.about(figures.grams(round(cups_g(whole_g, 1))))),
        shortcut("2", gettext("Two cups"), figures.about(figures.grams(round(cups_g(whole_g, 2))))),
        shortcut(FULL, gettext("What it holds"), gettext("brewer full")),
    ]


def _query(*parts: str, along: Mapping[str, str]) -> str:
    return "&".join(part for part in (*parts, urlencode(along)) if part)


class _Maker:
    """Makes fields with what was typed and what is wrong with it."""

    def __init__(self, typed: Mapping[str, str], errors: Mapping[str, str]) -> None:
        self.typed = typed
        self.errors = errors

    def text(self, name: str, label: str, hint: str = "", *, words: bool = False) -> Field:
        return Field(name, label, self.typed.get(name, ""), hint, self.errors.get(name, ""), words=words)

    def choice(self, name: str, label: str, choices: Choices, hint: str = "") -> Field:
        value = self.typed.get(name, "")
        value = "" if value == getattr(AdaptRequest(), name) else value
        listed = tuple(choices)
        if value and value not in {key for key, _label in listed}:
            listed = (*listed, (value, value))
        return Field(name, label, value, hint, self.errors.get(name, ""), listed)

    def group(self, title: str, fields: Sequence[Field], more: str = "", folded: Sequence[Field] = ()) -> Group:
        filled = any((field.value and not field.choices) or field.error for field in folded)
        return Group(title, tuple(fields), more, tuple(folded), filled)


def _groups(make: _Maker, brewers: Choices, grinders: Choices, units: Units) -> list[Group]:
    in_ounces, in_fahrenheit = units.mass is Mass.OUNCE, units.temperature is Temperature.FAHRENHEIT
    mass, degree = "oz" if in_ounces else "g", "°F" if in_fahrenheit else "°C"
    in_feet = units.altitude is Altitude.FOOT
    height = gettext("ft") if in_feet else "m"
    as_guide, own = ("", gettext("As in the guide")), (OWN, gettext("My own"))
    return [
        make.group(
            gettext("How much"),
            [
                make.choice(
                    "size",
                    gettext("Cups"),
                    [as_guide, ("1", gettext("One cup")), ("2", gettext("Two cups")), (FULL, gettext("What it holds"))],
                ),
                make.text("dose", gettext("or my dose, %(unit)s") % {"unit": mass}, "0.6" if in_ounces else "18"),
                make.text(
                    "bag", gettext("or finish the bag, %(unit)s left") % {"unit": mass}, "1.3" if in_ounces else "38"
                ),
            ],
        ),
        make.group(
            gettext("Brewer"),
            [
                make.choice("brewer", gettext("My brewer"), [as_guide, *brewers, own]),
                make.text(
                    "holds",
                    gettext("Filled to its line it holds, %(unit)s of cold water") % {"unit": mass},
                    "11" if in_ounces else "320",
                ),
            ],
            gettext("My own brewer"),
            [
                make.choice("wall", gettext("Wall"), _walls()),
                make.choice("way", gettext("Runs out"), _ways()),
                make.choice("made", gettext("Made of"), _materials()),
                make.text("height", gettext("Not weighed: height to the line, mm"), "90"),
                make.text("across", gettext("Outlet, or a straight wall inside: width, mm"), "20"),
            ],
        ),
        make.group(
            gettext("Grinder"),
            [make.choice("grinder", gettext("My grinder"), [as_guide, *grinders, own])],
            gettext("My own grinder, or my drained times"),
            [
                make.text(
                    "points", gettext("Settings and their µm, three or more"), "14:480 20:690 26:900", words=True
                ),
                make.text("click", gettext("Smallest step"), "1"),
                make.text("drained", gettext("Brewed as written, it had drained at"), "2:50 3:05", words=True),
                make.text("at", gettext("Setting of those brews, if another"), "20"),
                *([make.text("offset", gettext("Found earlier: coarser by, µm"))] if make.typed.get("offset") else []),
            ],
        ),
        make.group(
            gettext("Place and water"),
            [
                make.text("altitude", gettext("Altitude, %(unit)s") % {"unit": height}, "4860" if in_feet else "1480"),
                make.text(
                    "boils", gettext("or water boils at, %(unit)s") % {"unit": degree}, "203" if in_fahrenheit else "95"
                ),
                make.text("alkalinity", gettext("Alkalinity of the tap water"), "190"),
                make.text("hardness", gettext("Its hardness"), "210"),
                make.choice("water", gettext("Unit of these two"), _waters()),
            ],
        ),
        make.group(
            gettext("Units"),
            [
                make.choice("mass", gettext("Mass"), [("", "g"), (Mass.OUNCE, "oz")]),
                make.choice("temp", gettext("Temperature"), [("", "°C"), (Temperature.FAHRENHEIT, "°F")]),
                make.choice(
                    "vol",
                    gettext("Volume"),
                    [
                        ("", "mL"),
                        (Volume.US_OUNCE, gettext("fl oz, US")),
                        (Volume.IMPERIAL_OUNCE, gettext("fl oz, imperial")),
                    ],
                ),
                make.choice("alt", gettext("Altitude"), [("", "m"), (Altitude.FOOT, gettext("ft"))]),
            ],
        ),
    ]


def _walls() -> Choices:
    return [("", gettext("cone, 60°")), (Wall.STRAIGHT, gettext("straight"))]


def _ways() -> Choices:
    return [
        ("", gettext("through paper, always")),
        (Flow.VALVE, gettext("through paper, by a valve")),
        (Flow.CLOSED, gettext("not until poured off")),
    ]


def _materials() -> Choices:
    return [("", gettext("plastic")), (Material.GLASS, gettext("glass, ceramic or metal"))]


def _waters() -> Choices:
    as_lime = gettext("%(unit)s as CaCO₃")
    return [
        ("", as_lime % {"unit": "mg/L"}),
        (Unit.MMOL_L, as_lime % {"unit": "mmol/L"}),
        (Unit.GERMAN, "°dH"),
        (Unit.FRENCH, "°fH"),
        (Unit.CLARK, "°Clark"),
        (Unit.GRAIN, gettext("grain per US gallon")),
    ]


def _typed_units(typed: Mapping[str, str]) -> Units:
    """The units of an address that cannot be read as a whole."""
    try:
        return Units(
            Mass(typed.get("mass", METRIC.mass)),
            Temperature(typed.get("temp", METRIC.temperature)),
            Volume(typed.get("vol", METRIC.volume)),
            Altitude(typed.get("alt", METRIC.altitude)),
        )
    except ValueError:
        return METRIC
