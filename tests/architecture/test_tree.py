"""The shape of the project: what lies where, how long a file may be, and what never gets in."""

from __future__ import annotations

import re

from .tracked import names, texts

TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "manage.py",
    "pyproject.toml",
    "docker-compose.yml",
    "roastery",
    "guides",
    "templates",
    "static",
    "tests",
}
LONGEST = 400
CODE = (".py", ".js", ".css", ".html", ".sh")
# In pieces, so that this file does not find itself.
REGISTRIES = re.compile(r"py" r"pi\.org|pythonhosted\.org|registry\.npm|npmjs\.|deb\.debian\.|security\.debian\.", re.I)
MACHINE_PATHS = re.compile(r"(?<![\w.:])/(?:home|root|work|Users|mnt)/[\w.]")
JUNK_ROOMS = re.compile(r"(^|/)(utils?|helpers?|misc|common|stuff)(\.py|/)")


def test_top_level_is_the_card() -> None:
    top = {name.split("/")[0] for name in names()}
    assert {name for name in top if not name.startswith(".")} == TOP


def test_no_file_is_too_long() -> None:
    lengths = {name: text.count("\n") for name, text in texts() if name.endswith(CODE) and "/migrations/" not in name}
    assert len(lengths) > 100
    assert {name: lines for name, lines in lengths.items() if lines > LONGEST} == {}


def test_no_junk_room() -> None:
    assert [name for name in names() if JUNK_ROOMS.search(name)] == []


def test_no_registry_is_named() -> None:
    assert REGISTRIES.search("https://py" + "pi.org/simple")
    assert [name for name, text in texts() if REGISTRIES.search(text)] == []


def test_no_path_of_somebodys_machine() -> None:
    assert MACHINE_PATHS.search("in /home/" + "tove/roastery")
    assert [(name, found[0]) for name, text in texts() if (found := MACHINE_PATHS.search(text))] == []


def test_nothing_is_left_to_do() -> None:
    marker = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X)\b")
    assert [name for name, text in texts() if name.endswith(CODE) and marker.search(text)] == []
