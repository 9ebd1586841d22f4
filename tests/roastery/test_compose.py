"""The compose file: valid by the Compose Specification, its Dockerfile linted, and hardened as it says.

Schema: the Compose Specification's own, as shipped with check-jsonschema. Rules of the Dockerfile: hadolint's.
"""

from __future__ import annotations

import re
import subprocess
import sys
import sysconfig
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from ruamel.yaml import YAML

from roastery import machine

FILE = settings.BASE_DIR / "docker-compose.yml"
HADOLINT = Path(sysconfig.get_path("scripts")) / "hadolint"
OURS = ("setup", "web", "worker")


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    parsed: dict[str, Any] = YAML(typ="safe").load(FILE)
    return parsed


@pytest.fixture(scope="module")
def dockerfile(compose: dict[str, Any]) -> str:
    return str(compose["services"]["setup"]["build"]["dockerfile_inline"])


def validate(file: Path) -> subprocess.CompletedProcess[str]:
    check = [sys.executable, "-m", "check_jsonschema", "--builtin-schema", "vendor.compose-spec", file]
    return subprocess.run(check, capture_output=True, text=True, check=False)


def lint(dockerfile: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([HADOLINT, "-"], input=dockerfile, capture_output=True, text=True, check=False)


def test_valid_by_the_compose_specification(tmp_path: Path) -> None:
    done = validate(FILE)
    assert done.returncode == 0, done.stdout
    broken = tmp_path / "docker-compose.yml"
    broken.write_text(FILE.read_text().replace("healthcheck:", "helthcheck:"))
    assert validate(broken).returncode != 0, "the check would not notice a mistake"


def test_dockerfile_is_linted(dockerfile: str) -> None:
    done = lint(dockerfile)
    assert done.returncode == 0, done.stdout
    assert lint(dockerfile.replace("FROM python:3.11-slim-bookworm", "FROM python:latest")).returncode != 0


def test_image_has_what_papers_need_and_the_databases_own_tools(compose: dict[str, Any], dockerfile: str) -> None:
    for need in machine.PAPER:
        assert need.package in dockerfile
    (major,) = re.findall(r"postgresql-client-(\d+)", dockerfile)
    assert compose["services"]["database"]["image"].startswith(f"postgres:{major}-")


def test_image_copies_everything_that_the_site_runs_from(dockerfile: str) -> None:
    copied = set(re.findall(r"^COPY (.+) \S+$", dockerfile, re.MULTILINE))
    names = {name for line in copied for name in line.split()}
    assert {"manage.py", "pyproject.toml", "roastery", "guides", "templates", "static"} <= names
    assert "." not in names, "the folder also holds secrets and data"


@pytest.mark.parametrize("name", ["database", "proxy", *OURS])
def test_every_service_is_confined(compose: dict[str, Any], name: str) -> None:
    service = compose["services"][name]
    assert service["user"] not in ("root", "0", "0:0")
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]


@pytest.mark.parametrize("name", ["database", "web", "worker", "proxy"])
def test_every_lasting_service_has_a_health_check(compose: dict[str, Any], name: str) -> None:
    assert compose["services"][name]["healthcheck"]["test"][0] == "CMD"


def test_secrets_come_from_files(compose: dict[str, Any]) -> None:
    for service in compose["services"].values():
        for variable, value in service["environment"].items():
            if re.search("KEY|PASSWORD", variable):
                assert variable.endswith("_FILE")
                assert value.startswith("/run/secrets/")


def test_only_the_proxy_is_reached_from_outside(compose: dict[str, Any]) -> None:
    ports = {name: service["ports"] for name, service in compose["services"].items() if "ports" in service}
    assert ports == {"proxy": ["80:8080", "443:8443"]}


def test_every_secret_asked_for_has_its_file_and_the_readme_makes_it(compose: dict[str, Any]) -> None:
    asked = {name for service in compose["services"].values() for name in service.get("secrets", [])}
    assert asked == set(compose["secrets"])
    readme = (settings.BASE_DIR / "README.md").read_text()
    assert [
        name for name in asked if compose["secrets"][name]["file"] not in f"./{readme}" and name not in readme
    ] == []


def test_the_worker_is_asked_whether_it_lives(compose: dict[str, Any]) -> None:
    assert compose["services"]["worker"]["healthcheck"]["test"][-2:] == ["work", "--alive"]
