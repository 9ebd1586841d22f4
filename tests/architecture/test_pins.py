"""The pinned packages: every one with its hashes, and the same in both files."""

from __future__ import annotations

import re
import tomllib

import pytest

from .tracked import ROOT

FOLDER = ROOT / "roastery" / "requirements"


def pins(name: str) -> dict[str, str]:
    """Give every package of a file with its version, after seeing that it has a hash."""
    found = {}
    for block in re.split(r"\n(?=\S)", (FOLDER / name).read_text().strip()):
        pinned = re.match(r"([\w.-]+)==(\S+)", block)
        assert pinned, f"not a pin: {block.splitlines()[0]}"
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", block), f"{pinned[1]} has no hash"
        found[pinned[1]] = pinned[2]
    return found


def normal(requirement: str) -> str:
    return re.sub(r"[-_.]+", "-", re.match(r"[\w.-]+", requirement)[0]).lower()  # type: ignore[index]


def test_tests_run_on_the_versions_that_the_site_runs_on() -> None:
    run, dev = pins("run.txt"), pins("dev.txt")
    assert len(run) > 20
    assert {name: version for name, version in run.items() if dev.get(name) != version} == {}


@pytest.mark.parametrize(("file", "dev"), [("run.txt", False), ("dev.txt", True)])
def test_everything_asked_for_is_pinned(file: str, dev: bool) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    wanted = [*project["project"]["dependencies"], *(project["dependency-groups"]["dev"] if dev else [])]
    assert {normal(requirement) for requirement in wanted} <= set(pins(file))
