"""What is not written down does not exist: every command and every variable of the environment is in the documents."""

from __future__ import annotations

import re

import pytest

from .tracked import ROOT, names

DOCUMENTS = "\n".join((ROOT / name).read_text() for name in ("README.md", "DEVELOPERS.md"))
COMMANDS = sorted(
    found[1] for name in names() if (found := re.fullmatch(r"guides/management/commands/([a-z]\w*)\.py", name))
)
VARIABLES = sorted(
    set(re.findall(r'env\.\w+\(\s*"([A-Z_]+)"', (ROOT / "roastery" / "environment.py").read_text()))
    | {"ROASTERY_NO_BOOTSTRAP", "TEST_POSTGRES_URL", "CHROMIUM", "FULL_COUNTS"}
)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_documented(command: str) -> None:
    assert f"manage.py {command}" in DOCUMENTS


@pytest.mark.parametrize("variable", VARIABLES)
def test_every_variable_is_documented(variable: str) -> None:
    assert f"`{variable}`" in DOCUMENTS


def test_what_is_looked_for_is_found() -> None:
    assert {"demo", "backup", "restore", "remove_demo"} <= set(COMMANDS)
    assert {"SECRET_KEY", "PUBLIC_BASE_URL", "DATABASE_URL"} <= set(VARIABLES)


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_link_inside_the_project_leads_somewhere(name: str) -> None:
    text = (ROOT / name).read_text()
    targets = re.findall(r"\]\(([^)#]+)[^)]*\)", text) + re.findall(r'<img src="([^"]+)"', text)
    inside = [target for target in targets if "://" not in target]
    assert [target for target in inside if not (ROOT / target).exists()] == []
