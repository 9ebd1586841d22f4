"""How the numbers are made, laid out to read: each formula, what it rests on, and how far off its checks are."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from babel.numbers import format_decimal, format_scientific
from django.utils.translation import gettext, override

from guides.calculations.catalogue import Check, Formula, all_constants, catalogue
from guides.calculations.constants import Constant, Status
from guides.calculations.sources import SOURCES

_SHOWN_DIGITS = 6


@dataclass(frozen=True)
class ConstantRow:
    """``founded`` is the short form of its source, or says that there is none."""

    name: str
    value: str
    founded: str


@dataclass(frozen=True)
class CheckRow:
    """One value from outside beside ours. ``holds`` is false where ours lies further off than it should."""

    name: str
    published: str
    found: str
    off: str
    origin: str
    holds: bool


@dataclass(frozen=True)
class FormulaEntry:
    name: str
    text: str
    valid: str
    module: str
    constants: tuple[ConstantRow, ...]
    checks: tuple[CheckRow, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """Formulas that belong together. ``anchor`` is its place on the page."""

    anchor: str
    title: str
    formulas: tuple[FormulaEntry, ...]


@dataclass(frozen=True)
class Workings:
    """Every formula. ``checks`` counts the values from outside, ``held`` those ours lie near enough to.

    ``constants`` counts those that all formulas use together.
    """

    sections: tuple[Section, ...]
    checks: int
    held: int
    constants: int


@dataclass(frozen=True)
class Foundations:
    """Every constant, and key and citation of every source."""

    constants: tuple[ConstantRow, ...]
    bibliography: tuple[tuple[str, str], ...]


def workings(language: str) -> Workings:
    """Lay out the catalogue of the calculation room; checks are computed now.

    Args:
        language: of the numbers and the words around them; formulas and names are in English.
    """
    formulas = catalogue()
    checks = [check for formula in formulas for check in formula.checks]
    with override(language):
        return Workings(
            sections=tuple(
                Section(name, _title(name), tuple(_entry(formula, language) for formula in group))
                for name, group in groupby(formulas, key=lambda formula: formula.section)
            ),
            checks=len(checks),
            held=sum(check.holds for check in checks),
            constants=sum(1 for _ in all_constants()),
        )


def foundations(language: str) -> Foundations:
    """Lay out what the formulas rest on.

    Args:
        language: of the numbers and the words around them; names and citations are in English.
    """
    with override(language):
        return Foundations(
            constants=tuple(_constant(name, constant, language) for name, constant in all_constants()),
            bibliography=tuple((key, source.citation) for key, source in SOURCES.items()),
        )


def _entry(formula: Formula, language: str) -> FormulaEntry:
    return FormulaEntry(
        name=formula.name,
        text=formula.text,
        valid=formula.valid,
        module=formula.module,
        constants=tuple(_constant(name, constant, language) for name, constant in formula.constants),
        checks=tuple(_check(check, language) for check in formula.checks),
        sources=formula.source_keys,
    )


def _constant(name: str, constant: Constant, language: str) -> ConstantRow:
    value = _number(constant.value, language)
    if constant.uncertainty:
        value += f" ± {_number(constant.uncertainty, language)}"
    return ConstantRow(
        name=name.lower().replace("_", " "),
        value=f"{value} {constant.unit}".strip(),
        founded=constant.source if constant.status is Status.PUBLISHED else _founded(constant),
    )


def _founded(constant: Constant) -> str:
    said = {
        Status.COMMON_PRACTICE: gettext("common practice, no source"),
        Status.OWN_DEFAULT: gettext("our own default, until trial brews replace it"),
        Status.FROM_MEMORY: gettext("from memory"),
    }[constant.status]
    return f"{constant.source}, {said}" if constant.source else said


def _check(check: Check, language: str) -> CheckRow:
    return CheckRow(
        name=check.name,
        published=f"{_number(check.published, language)} {check.unit}",
        found=_number(check.found, language),
        off=_number(check.off, language) if abs(check.off) >= 1e-9 else _number(0, language),
        origin=check.source or check.origin,
        holds=check.holds,
    )


def _number(value: float, language: str) -> str:
    """Six digits that count; very small and very large numbers with a power of ten."""
    rounded = float(f"{value:.{_SHOWN_DIGITS}g}")
    if rounded and not 1e-4 <= abs(rounded) < 1e7:
        return str(format_scientific(rounded, "0.###E0", locale=language))
    return str(format_decimal(rounded, "#,##0.##########", locale=language))


def _title(section: str) -> str:
    return {
        "recipe": gettext("Recipe and scaling"),
        "strength": gettext("Strength and extraction"),
        "immersion": gettext("Immersion"),
        "vessel": gettext("What a brewer holds"),
        "bed": gettext("The draining bed"),
        "heat": gettext("Heat"),
        "grind": gettext("Grind"),
        "freshness": gettext("Freshness"),
        "water": gettext("Water"),
        "counts": gettext("Bags and inserts"),
        "tasting": gettext("Tasting"),
        "units": gettext("Units"),
    }[section]
