"""Who may import what, beyond the layers that import-linter holds (see pyproject.toml)."""

from __future__ import annotations

import re
import subprocess
import sys

from .tracked import ROOT, texts

BLOCKED = """
import importlib, pkgutil, sys

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {"django", "roastery", "rest_framework"}:
            raise ModuleNotFoundError(f"{name} is not for this room", name=name)

sys.meta_path.insert(0, Refuse())
loaded = 0
for room in ("guides.calculations", "guides.codes"):
    package = importlib.import_module(room)
    for module in pkgutil.walk_packages(package.__path__, f"{room}."):
        importlib.import_module(module.name)
        loaded += 1
print(loaded)
"""
TRY_MODELS = BLOCKED.replace("guides.codes", "guides.models")


def python(script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False)


def test_calculations_and_codes_load_without_django() -> None:
    """The linter alone would miss ``guides/__init__.py``, which importing them runs."""
    done = python(BLOCKED)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= 20


def test_control_a_room_that_needs_django_does_not() -> None:
    assert "is not for this room" in python(TRY_MODELS).stderr


def test_one_file_alone_knows_the_pdf_engine() -> None:
    engine = re.compile(r"^\s*(?:import|from)\s+weasyprint\b|import_module\(.weasyprint", re.MULTILINE)
    users = [name for name, text in texts() if name.startswith(("guides/", "roastery/")) and engine.search(text)]
    assert users == ["guides/documents/render.py"]
