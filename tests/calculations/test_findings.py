"""Codes are said where they can be said, and only those in the tables can be."""

import re
from pathlib import Path

import pytest

from guides import calculations
from guides.calculations import findings
from guides.calculations.findings import caution, note, refusal
from guides.calculations.validity import Severity

TABLES = {
    name: getattr(findings, name)
    for name in ("REFUSALS", "CAUTIONS", "NOTES", "PREPARATIONS", "ADVICE", "CHANGES", "REASONS", "UNMET")
}
TEXT = "\n".join(
    path.read_text() for path in Path(calculations.__file__).parent.glob("*.py") if path.name != "findings.py"
)


@pytest.mark.parametrize("table", TABLES)
def test_every_code_is_said_somewhere_and_told_in_a_line(table):
    for code, told in TABLES[table].items():
        assert re.fullmatch(r"[a-z0-9_]+", code)
        assert told
        assert told[0].islower()
        assert f'"{code}"' in TEXT, code


def test_a_code_belongs_to_one_severity():
    assert len({**findings.REFUSALS, **findings.CAUTIONS, **findings.NOTES}) == sum(
        map(len, (findings.REFUSALS, findings.CAUTIONS, findings.NOTES))
    )


@pytest.mark.parametrize(
    ("make", "severity"), [(refusal, Severity.REFUSAL), (caution, Severity.CAUTION), (note, Severity.NOTE)]
)
def test_a_finding_carries_its_numbers_and_its_step(make, severity):
    table = {Severity.REFUSAL: findings.REFUSALS, Severity.CAUTION: findings.CAUTIONS, Severity.NOTE: findings.NOTES}
    found = make(next(iter(table[severity])), 2, limit_g=190)
    assert (found.severity, found.step, found.numbers) == (severity, 2, {"limit_g": 190})
    with pytest.raises(KeyError):
        make("moonlight")
