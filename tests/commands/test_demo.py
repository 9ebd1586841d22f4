"""The demo: served from nothing, twice harmless, and never over a roastery's own work."""

from __future__ import annotations

import socket
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from pytest_django import Settings

from guides.management.demo.world import PASSWORD
from tests.factories import CoffeeFactory

from .demo_process import Demo

QUICK_S = 90  # a start, on a machine busy with other tests


@pytest.fixture
def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        yield holder.getsockname()[1]


def get(address: str) -> str:
    with urllib.request.build_opener(urllib.request.ProxyHandler({})).open(address, timeout=30) as response:
        text: str = response.read().decode()
        return text


def test_serves_from_nothing_and_goes_on_where_it_was(tmp_path: Path, free_port: int) -> None:
    base = f"http://127.0.0.1:{free_port}"
    first = Demo(tmp_path, free_port)
    try:
        said = first.welcome()
        assert f"{base}/admin/" in said
        assert PASSWORD in said
        assert "Mossgull" in get(f"{base}/en/")
        assert get(f"{base}/health/ready")
        second = Demo(tmp_path, free_port)
        assert second.process.wait(60) != 0
        assert f"Port {free_port} is not free" in second.log.read_text()
    finally:
        ended = first.stop()
    assert first.process.returncode == 0, ended
    assert "Traceback" not in ended

    again = Demo(tmp_path, free_port)
    try:
        assert codes(again.welcome()) == codes(said), "a second start makes nothing anew"
        assert time.monotonic() - again.began < QUICK_S
    finally:
        again.stop()


def codes(welcome: str) -> list[str]:
    return [line for line in welcome.splitlines() if "/L/" in line]


@pytest.mark.django_db
def test_port_in_use_is_named_with_another(settings: Settings, taken_port: int) -> None:
    settings.DEMO = True
    with pytest.raises(CommandError, match=rf"Port {taken_port} is not free.*demo --port 8010"):
        call_command("demo", port=taken_port)


@pytest.mark.django_db
def test_number_that_is_no_port_is_refused(settings: Settings) -> None:
    settings.DEMO = True
    with pytest.raises(CommandError, match="Port 70000 is not free"):
        call_command("demo", port=70000)


@pytest.mark.django_db
def test_stays_out_of_a_real_site(settings: Settings, free_port: int) -> None:
    with pytest.raises(CommandError, match="DEMO is off"):
        call_command("demo", port=free_port)
    settings.DEMO = True
    CoffeeFactory()
    with pytest.raises(CommandError, match="a roastery's own work"):
        call_command("demo", port=free_port)
