"""The site does its work with what ``run.txt`` installs: nothing it needs may be there only for the tests.

Looking at imports is not enough: a package may ask for another one only when a certain function of it is called.
"""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.metadata import packages_distributions
from pathlib import Path

from .test_pins import normal, pins
from .tracked import ROOT

WALL = """
import sys

class Wall:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {walled!r}:
            raise ModuleNotFoundError(f"{{name}} is there for tests only", name=name)

sys.meta_path.insert(0, Wall())
"""
WORK = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("seed_demo")
call_command("render_inserts", "WK-080", "--output", {paper!r})
call_command("work", once=True)
from guides.models import JobRun
assert JobRun.objects.filter(state="done").exists()
"""


def for_tests_only() -> set[str]:
    """Give the modules that no package of ``run.txt`` brings."""
    run = {normal(name) for name in pins("run.txt")}
    named = {normal(name) for name in pins("dev.txt")} - run
    return {
        module
        for module, packages in packages_distributions().items()
        if module not in sys.stdlib_module_names and {normal(package) for package in packages} <= named
    }


def child(code: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", WALL.format(walled=for_tests_only()) + code],
        cwd=ROOT,
        env={
            "PATH": os.environ["PATH"],
            "DJANGO_SETTINGS_MODULE": "roastery.settings",
            "DEMO": "1",
            "SECRET_KEY": "k3y-" * 20,
            "DATA_DIR": str(folder),
        },
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_demo_is_seeded_and_inserts_are_made_without_packages_for_tests(tmp_path: Path) -> None:
    paper = tmp_path / "inserts.pdf"
    done = child(WORK.format(paper=str(paper)), tmp_path)
    assert done.returncode == 0, done.stderr
    assert paper.read_bytes().startswith(b"%PDF")


def test_the_wall_holds(tmp_path: Path) -> None:
    """Negative control: packages for tests are out of reach, those of the site are not."""
    assert {"numpy", "cv2", "pytest"} <= for_tests_only()
    assert "numpy is there for tests only" in child("import numpy", tmp_path).stderr
    assert child("import PIL, zxingcpp, weasyprint", tmp_path).returncode == 0
