"""What is missing is named with the exact line to type."""

from __future__ import annotations

import pytest

from roastery import machine
from roastery.machine import Need


def test_missing_packages_are_listed_in_one_line_to_type(monkeypatch: pytest.MonkeyPatch) -> None:
    here, gone = Need("here", "is used", lambda: True), Need("gone", "draws", lambda: False)
    also = Need("also-gone", "reads", lambda: False)
    monkeypatch.setitem(machine.FOR_COMMAND, "paint", [here, gone, also])
    missing = machine.missing("paint", makes_environment=False)
    assert missing == [gone, also]
    text = machine.explain("paint", missing)
    assert "apt-get install --yes --no-install-recommends gone also-gone\n" in text
    assert "draws" in text
    assert "manage.py paint" in text


def test_environment_is_needed_only_where_one_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine.importlib.util, "find_spec", lambda _name: None)
    monkeypatch.setattr(machine, "working_uv", lambda: None)
    assert [need.package for need in machine.missing("migrate", makes_environment=True)] == ["python3-venv"]
    assert machine.missing("migrate", makes_environment=False) == []


def test_a_library_that_does_not_load_is_missing() -> None:
    assert not machine._loads("libno-such-library.so.0")
    assert machine._loads("libc.so.6")


def test_a_shim_that_does_not_run_is_no_uv(monkeypatch: pytest.MonkeyPatch, tmp_path: pytest.TempPathFactory) -> None:
    shim = tmp_path / "uv"  # type: ignore[operator]
    shim.write_text("#!/bin/sh\nexit 127\n")
    shim.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert machine.working_uv() is None
    shim.write_text("#!/bin/sh\nexit 0\n")
    assert machine.working_uv() == str(shim)


def test_named_database_stands_in_for_an_installed_one(monkeypatch: pytest.MonkeyPatch) -> None:
    need = next(need for need in machine.TESTS if need.package == "postgresql")
    monkeypatch.setattr(machine, "postgres_program", lambda _name: None)
    monkeypatch.delenv("TEST_POSTGRES_URL", raising=False)
    assert not need.present()
    monkeypatch.setenv("TEST_POSTGRES_URL", "postgres://tests@localhost/tests")
    assert need.present()
