"""The list of what the site runs on: CycloneDX 1.5 (ECMA-424's forerunner), package addresses by the purl rules.

From memory, as no package of ours brings it: the part of the published JSON schema ``bom-1.5.schema.json`` that this
document uses, with its required members, patterns and closed objects; and the purl type of Python packages.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from tests.architecture.tracked import ROOT

COMPONENT = {
    "type": "object",
    "required": ["type", "name"],
    "additionalProperties": False,
    "properties": {
        "type": {
            "enum": [
                *("application", "framework", "library", "container", "platform", "operating-system", "device"),
                *("device-driver", "firmware", "file", "machine-learning-model", "data"),
            ]
        },
        "bom-ref": {"type": "string", "minLength": 1},
        "name": {"type": "string"},
        "version": {"type": "string"},
        "purl": {"type": "string", "pattern": r"^pkg:pypi/[a-z0-9]+(-[a-z0-9]+)*@[0-9A-Za-z.+!-]+$"},
        "licenses": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["license"],
                "additionalProperties": False,
                "properties": {
                    "license": {
                        "type": "object",
                        "oneOf": [{"required": ["id"]}, {"required": ["name"]}],
                        "properties": {"id": {"type": "string"}, "name": {"type": "string"}},
                        "additionalProperties": False,
                    }
                },
            },
        },
    },
}
SCHEMA = {
    "type": "object",
    "required": ["bomFormat", "specVersion", "version"],
    "additionalProperties": False,
    "properties": {
        "bomFormat": {"enum": ["CycloneDX"]},
        "specVersion": {"const": "1.5"},
        "serialNumber": {"pattern": r"^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"},
        "version": {"type": "integer", "minimum": 1},
        "metadata": {
            "type": "object",
            "additionalProperties": False,
            "properties": {"timestamp": {"type": "string", "format": "date-time"}, "component": COMPONENT},
        },
        "components": {"type": "array", "uniqueItems": True, "items": COMPONENT},
    },
}


def is_valid(told: dict[str, Any], folder: Path) -> bool:
    document, schema = folder / "sbom.json", folder / "schema.json"
    document.write_text(json.dumps(told))
    schema.write_text(json.dumps(SCHEMA))
    check = [sys.executable, "-m", "check_jsonschema", "--schemafile", schema, document]
    return subprocess.run(check, capture_output=True, check=False).returncode == 0


def test_every_package_is_in_it_with_the_version_that_is_installed(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    call_command("sbom")
    told = json.loads(capsys.readouterr().out)
    assert is_valid(told, tmp_path)
    assert not is_valid({**told, "components": [{"name": "of no type"}]}, tmp_path), "the check would notice nothing"
    versions = {part["name"]: part["version"] for part in told["components"]}
    assert len(versions) == len(told["components"]) == len({part["bom-ref"] for part in told["components"]})
    for name in ("django", "weasyprint", "django-otp", "pillow"):
        assert versions[name] == metadata.version(name)
        assert f"pkg:pypi/{name}@{versions[name]}" in {part["purl"] for part in told["components"]}
    pinned = (ROOT / "roastery" / "requirements" / "run.txt").read_text()
    assert len(versions) == len(set(re.findall(r"^([\w.-]+)==", pinned, re.MULTILINE)))
    assert next(part for part in told["components"] if part["name"] == "django")["licenses"]
