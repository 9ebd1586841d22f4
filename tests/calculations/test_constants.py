"""Every constant has its pedigree; every source is a real entry and is used."""

import ast
import math
from pathlib import Path

import pytest

from guides import calculations
from guides.calculations.catalogue import all_constants, catalogue
from guides.calculations.constants import CALCULATION_VERSION, Status
from guides.calculations.sources import SOURCES

ROOM = Path(calculations.__file__).parent
CONSTANTS = dict(all_constants())


def names_used(path: Path) -> set[str]:
    return {node.id for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Name)}


@pytest.mark.parametrize("name", CONSTANTS)
def test_each_constant_says_where_it_comes_from(name):
    constant = CONSTANTS[name]
    assert math.isfinite(constant.value)
    assert constant.unit
    assert constant.uncertainty >= 0
    if constant.status is Status.PUBLISHED or constant.source:
        assert constant.source in SOURCES
    if constant.status in (Status.COMMON_PRACTICE, Status.OWN_DEFAULT):
        assert constant.source == ""


def test_no_constant_lies_idle():
    used = set().union(*(names_used(path) for path in ROOM.glob("*.py") if path.name != "constants.py"))
    named = {name for formula in catalogue() for name in formula.constant_names}
    assert set(CONSTANTS) - used - named == set()


def test_the_version_is_a_word_that_can_be_stored():
    assert CALCULATION_VERSION == CALCULATION_VERSION.strip() != ""
