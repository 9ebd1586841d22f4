"""What every answer tells the browser. Values to reach: OWASP Secure Headers Project's recommendations."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest
from django.conf import settings as django_settings
from django.test import Client

PROBE = """
import django, json, sys
django.setup()
from django.test import Client
response = Client().get(sys.argv[1], secure=sys.argv[2] == "https", headers={"host": "guides.example"})
print(json.dumps({"status": response.status_code, **{k.lower(): v for k, v in response.headers.items()}}))
"""


def headers_of_real_site(path: str, scheme: str = "https", **changes: str) -> dict[str, str]:
    """Ask a site with production settings, in a process of its own."""
    environment = {
        "PATH": os.environ["PATH"],
        "DJANGO_SETTINGS_MODULE": "roastery.settings",
        "SECRET_KEY": "k3y-" * 20,
        "PUBLIC_BASE_URL": "https://guides.example",
        "PROXY_DEPTH": "0",
    }
    done = subprocess.run(
        [sys.executable, "-c", PROBE, path, scheme],
        cwd=django_settings.BASE_DIR,
        env=environment | changes,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


@pytest.fixture(scope="module")
def https(site: dict[str, str]) -> dict[str, str]:
    return headers_of_real_site("/no-such-page/", **site)


def test_content_security_policy_allows_nothing_inline_or_foreign(https: dict[str, str]) -> None:
    policy = {name: values for name, *values in (part.split() for part in https["content-security-policy"].split(";"))}
    assert policy["default-src"] == ["'none'"]
    assert policy["script-src"] == ["'self'"]
    assert policy["frame-ancestors"] == ["'none'"]
    assert policy["base-uri"] == ["'none'"]
    assert policy["form-action"] == ["'self'"]
    assert "upgrade-insecure-requests" in policy
    everything = {value for values in policy.values() for value in values}
    foreign = {value for value in everything if value not in ("'self'", "'none'") and not value.startswith("'sha256-")}
    assert foreign == set(), "unsafe-inline, unsafe-eval, * and other sites have no place here"


def test_other_headers_over_https(https: dict[str, str]) -> None:
    assert https["strict-transport-security"] == "max-age=31536000; includeSubDomains; preload"
    assert https["x-content-type-options"] == "nosniff"
    assert https["x-frame-options"] == "DENY"
    assert https["referrer-policy"] == "same-origin"
    assert https["cross-origin-opener-policy"] == "same-origin"
    assert https["cross-origin-resource-policy"] == "same-origin"
    assert {"geolocation=()", "microphone=()", "payment=()"} <= set(https["permissions-policy"].split(", "))


def test_plain_http_is_sent_to_https(site: dict[str, str]) -> None:
    plain = headers_of_real_site("/no-such-page/", scheme="http", **site)
    assert (plain["status"], plain["location"]) == (301, "https://guides.example/no-such-page/")


def test_site_on_plain_http_promises_no_https(site: dict[str, str]) -> None:
    plain = headers_of_real_site("/no-such-page/", scheme="http", PUBLIC_BASE_URL="http://guides.example", **site)
    assert plain["status"] == 404
    assert "strict-transport-security" not in plain
    assert "upgrade-insecure-requests" not in plain["content-security-policy"]


def test_deployment_check_finds_nothing() -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=django_settings.BASE_DIR,
        env={
            "PATH": os.environ["PATH"],
            "SECRET_KEY": os.urandom(40).hex(),
            "PUBLIC_BASE_URL": "https://guides.example",
            "PROXY_DEPTH": "1",
            "BACKUP_COPY_TO": "s3://copies",
            "DATA_DIR": str(django_settings.DATA_DIR),
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.django_db
def test_log_in_page_cookie_is_locked_down(client: Client) -> None:
    cookie = client.get("/admin/login/").cookies["csrftoken"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
