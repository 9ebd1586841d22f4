"""``manage.py sbom``"""

from __future__ import annotations

import json
import re
from importlib import metadata
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand

_PIN = re.compile(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", re.MULTILINE)


class Command(BaseCommand):
    help = "Write the list of everything the site runs on, as CycloneDX 1.5 JSON, for whoever watches for weaknesses."
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> str:
        pins = (settings.BASE_DIR / "roastery" / "requirements" / "run.txt").read_text()
        told = {
            "bomFormat": "CycloneDX",
            "specVersion": "1.5",
            "version": 1,
            "metadata": {
                "component": {"type": "application", "name": "roastery-guides", "version": settings.VERSION},
            },
            "components": [_component(name.lower(), version) for name, version in sorted(set(_PIN.findall(pins)))],
        }
        return json.dumps(told, indent=1)


def _component(name: str, version: str) -> dict[str, Any]:
    purl = f"pkg:pypi/{re.sub(r'[-_.]+', '-', name)}@{version}"
    found: dict[str, Any] = {"type": "library", "bom-ref": purl, "name": name, "version": version, "purl": purl}
    try:
        about = metadata.metadata(name)
    except metadata.PackageNotFoundError:  # pinned for another kind of machine
        return found
    licence = next(iter(about.get_all("License-Expression", []) or about.get_all("License", [])), "")
    if licence and len(licence) < 100:  # some put the whole text there
        found["licenses"] = [{"license": {"name": licence}}]
    return found
