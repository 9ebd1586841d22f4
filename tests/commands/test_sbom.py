"""The list of what the site runs on: CycloneDX 1.5 (ECMA-424's forerunner), package addresses by the purl rules.

From memory: the required members of a CycloneDX document, and the purl type of Python packages.
"""

from __future__ import annotations

import json
import re
from importlib import metadata

import pytest
from django.core.management import call_command

from tests.architecture.tracked import ROOT


def test_every_package_is_in_it_with_the_version_that_is_installed(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("sbom")
    told = json.loads(capsys.readouterr().out)
    assert (told["bomFormat"], told["specVersion"], told["version"]) == ("CycloneDX", "1.5", 1)
    versions = {part["name"]: part["version"] for part in told["components"]}
    assert len(versions) == len(told["components"]) == len({part["bom-ref"] for part in told["components"]})
    for name in ("django", "weasyprint", "django-otp", "pillow"):
        assert versions[name] == metadata.version(name)
        assert f"pkg:pypi/{name}@{versions[name]}" in {part["purl"] for part in told["components"]}
    pinned = (ROOT / "roastery" / "requirements" / "run.txt").read_text()
    assert len(versions) == len(set(re.findall(r"^([\w.-]+)==", pinned, re.MULTILINE)))
    assert next(part for part in told["components"] if part["name"] == "django")["licenses"]
