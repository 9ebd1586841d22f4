"""The test command itself: it runs every step, says how each went, and fails if one did."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path

import psycopg
import pytest

from roastery import testing, throwaway_postgres
from roastery.testing import Step


def step(name: str, script: str, **environment: str) -> Step:
    return Step(name, (sys.executable, "-c", script), environment)


@pytest.fixture(autouse=True)
def _without_a_database(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(testing, "_postgres", lambda: contextlib.nullcontext("postgres://nowhere/none"))


def test_a_failed_step_fails_the_command_and_stops_no_other(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    three = [
        step("first", "print('3 passed')"),
        step("second", "import sys; print('2 failed'); sys.exit(1)"),
        step("third", "print('also ran')"),
    ]
    monkeypatch.setattr(testing, "steps", lambda *_: three)
    assert testing.main([]) == 1
    said = capfd.readouterr().out
    summary = said[said.index("── summary") :]
    assert summary.count("passed  ") == 2
    assert "FAILED" in summary
    assert "second: 2 failed" in summary
    assert summary.rstrip().endswith("1 of 3 steps FAILED")


def test_it_passes_when_all_do(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(testing, "steps", lambda *_: [step("first", "print('3 passed')")])
    assert testing.main([]) == 0
    assert capfd.readouterr().out.rstrip().endswith("all 1 steps passed")


def test_the_developers_own_site_does_not_reach_a_step(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DEBUG", "1")
    monkeypatch.setenv("DATABASE_URL", "sqlite:////my/own/site")
    show = (
        "import os; print(os.environ.get('DEBUG'), os.environ.get('DATABASE_URL'), os.environ['ROASTERY_NO_BOOTSTRAP'])"
    )
    assert testing.run(step("show", show, DATABASE_URL="")).last_line == "None None 1"


def test_arguments_go_to_pytest_alone(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(testing, "steps", lambda *_: pytest.fail("no step runs"))
    assert testing.main(["--version"]) == 0
    assert "pytest" in "".join(capfd.readouterr())


def test_both_databases_and_every_kind_of_check_are_among_the_steps(tmp_path: Path) -> None:
    steps = testing.steps("postgres://here/tests", tmp_path)
    typed = [" ".join(step.command) for step in steps]
    for check in ("ruff check", "ruff format --check", "mypy", "lint-imports", "makemigrations --check", "--deploy"):
        assert any(check in line for line in typed), check
    databases = [step.environment.get("DATABASE_URL") for step in steps if "pytest" in step.command]
    assert databases == ["", "postgres://here/tests"]


@pytest.mark.skipif(not throwaway_postgres.machine.postgres_program("initdb"), reason="no PostgreSQL server here")
def test_throwaway_database_answers_and_is_gone_afterwards() -> None:
    with throwaway_postgres.running() as address:
        with psycopg.connect(address) as connection:
            assert connection.execute("SELECT current_user").fetchone() == ("guides",)
        folder = Path(address.split("@")[1].split("/")[0].replace("%2F", "/"))
        assert folder.exists()
        assert os.stat(folder).st_mode & 0o077 == 0
    assert not folder.exists()
