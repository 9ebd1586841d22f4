"""The first start makes an environment and installs into it; the second finds all in place."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from roastery import start

# The Python that stands behind the environment the tests run in.
PYTHON = Path(sys.base_prefix) / "bin" / f"python{sys.version_info[0]}.{sys.version_info[1]}"
ECHO = """
import sys
from roastery import start
start.prepare(sys.argv)
print(sys.prefix, *sys.argv[1:])
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project with our start in it and nothing to install, so that no network is needed."""
    (tmp_path / "roastery" / "requirements").mkdir(parents=True)
    for name in ("start.py", "machine.py"):
        shutil.copy(start.PROJECT / "roastery" / name, tmp_path / "roastery" / name)
    for name in ("run.txt", "dev.txt"):
        (tmp_path / "roastery" / "requirements" / name).write_text("# nothing\n")
    (tmp_path / "manage.py").write_text(ECHO)
    return tmp_path


def begin(project: Path, *arguments: str, **variables: str) -> subprocess.Popen[str]:
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    return subprocess.Popen(
        [PYTHON, "manage.py", *arguments],
        cwd=project,
        env=kept | variables,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_first_start_installs_once_even_from_two_terminals(project: Path) -> None:
    both = [begin(project, "check", "--a b"), begin(project, "check", "--a b")]
    said = [process.communicate(timeout=120) for process in both]
    assert [process.returncode for process in both] == [0, 0], said
    assert [out.strip() for out, _err in said] == [f"{project / '.venv'} check --a b"] * 2
    assert sum("Installing" in err for _out, err in said) == 1

    again = begin(project, "check").communicate(timeout=60)
    assert again == (f"{project / '.venv'} check\n", "")

    (project / "roastery" / "requirements" / "run.txt").write_text("# changed\n")
    _out, err = begin(project, "check").communicate(timeout=60)
    assert "Installing" in err
    assert begin(project, "check").communicate(timeout=60)[1] == ""


def test_failed_installation_leaves_no_stamp(project: Path) -> None:
    pins = project / "roastery" / "requirements" / "run.txt"
    pins.write_text("-r no-such-file.txt\n")
    failed = begin(project, "check")
    assert "could not be installed" in failed.communicate(timeout=120)[1]
    assert failed.returncode != 0
    pins.write_text("# nothing\n")
    out, err = begin(project, "check").communicate(timeout=120)
    assert "Installing" in err
    assert str(project / ".venv") in out


def test_nothing_is_made_when_switched_off(project: Path) -> None:
    off = begin(project, "check", ROASTERY_NO_BOOTSTRAP="1")
    _out, err = off.communicate(timeout=60)
    assert (off.returncode, err) == (0, "")
    assert not (project / ".venv").exists()


def test_older_python_is_told_what_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or newer"):
        start.prepare(["manage.py"])


@pytest.mark.parametrize(
    ("arguments", "address"),
    [
        ([], "http://127.0.0.1:8000"),
        (["--port", "8017"], "http://127.0.0.1:8017"),
        (["--port=8017"], "http://127.0.0.1:8017"),
        (["--port", "many"], None),
    ],
)
def test_demo_is_chosen_before_the_settings_are_read(
    monkeypatch: pytest.MonkeyPatch, arguments: list[str], address: str | None
) -> None:
    monkeypatch.setattr(os, "environ", {})
    start._choose_demo(arguments)
    assert os.environ.get("DEMO") == "1"
    assert os.environ.get("PUBLIC_BASE_URL") == address
