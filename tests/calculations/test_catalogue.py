"""How these numbers are made: every row of it stands, and would fall if a number moved."""

from dataclasses import replace

import pytest

from guides.calculations.catalogue import catalogue
from guides.calculations.sources import SOURCES

FORMULAS = catalogue()
CHECKS = [(formula, check) for formula in FORMULAS for check in formula.checks]


@pytest.mark.parametrize(
    ("formula", "check"), CHECKS, ids=[f"{formula.name}: {check.name}" for formula, check in CHECKS]
)
def test_ours_lies_as_near_the_published_value_as_it_should(formula, check):
    assert check.holds, f"{check.found} instead of {check.published} {check.unit}"
    assert check.source in SOURCES or (not check.source and check.origin)


@pytest.mark.parametrize(("formula", "check"), CHECKS[::7])
def test_a_moved_number_would_be_seen(formula, check):
    assert not replace(check, published=check.published + 3 * check.within + 1).holds


@pytest.mark.parametrize("formula", FORMULAS, ids=[formula.name for formula in FORMULAS])
def test_each_formula_is_told_whole(formula):
    assert formula.text
    assert formula.valid
    assert formula.checks
    assert all(constant.unit for _, constant in formula.constants)
    assert all(source.title for source in formula.sources)
    __import__(f"guides.calculations.{formula.module}")


def test_names_are_told_apart():
    assert len({(formula.section, formula.name) for formula in FORMULAS}) == len(FORMULAS)
