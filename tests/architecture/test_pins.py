"""The pinned packages: every one with its hashes, and the same in both files."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions

import pytest

from .tracked import ROOT, texts

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
    assert wanted(dev) <= set(pins(file))


def wanted(dev: bool) -> set[str]:
    """Give the packages that the project asks for by name."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    asked = [*project["project"]["dependencies"], *(project["dependency-groups"]["dev"] if dev else [])]
    return {normal(requirement) for requirement in asked}


def imported(*folders: str) -> set[str]:
    """Give the packages of others that the code in some folders imports, by the names they are installed under."""
    modules = set()
    for name, text in texts():
        if name.startswith(folders) and name.endswith(".py"):
            for node in ast.walk(ast.parse(text)):
                if isinstance(node, ast.Import):
                    modules |= {alias.name.partition(".")[0] for alias in node.names}
                elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                    modules.add(node.module.partition(".")[0])
    foreign = modules - sys.stdlib_module_names - {"guides", "roastery", "tests"}
    installed = packages_distributions()
    return {normal(installed[module][0]) for module in foreign}


@pytest.mark.parametrize(("folders", "dev"), [(("guides/", "roastery/", "manage.py"), False), (("tests/",), True)])
def test_everything_imported_is_asked_for(folders: tuple[str, ...], dev: bool) -> None:
    """What is there only because something else needs it can go with the next version of that."""
    comes_with = {"dj-database-url"}  # environs names it among its own extras for Django
    assert imported(*folders) - wanted(dev) - comes_with == set()
