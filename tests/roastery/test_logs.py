"""Log lines, for eyes and for machines, with nobody's address in them."""

from __future__ import annotations

import json
import logging
import sys

import pytest

from roastery import logs

# Documentation ranges of RFC 5737 and RFC 3849, and the example domain of RFC 2606.
PEOPLE = ["203.0.113.5", "2001:db8::7:1", "2001:DB8:0:0:8:800:200C:417A", "tove@guides.example", "::ffff:198.51.100.66"]
KEPT = [
    "127.0.0.1:8000",
    "[::1]:8000",
    "0.0.0.0:8000",
    "12:30:05",
    "2026-11-28 08:42:43,120",
    "Django 5.2.19",
    "guides::step",
]


def record(message: str, **extra: object) -> logging.LogRecord:
    return logging.makeLogRecord({"name": "django.request", "levelname": "WARNING", "msg": message, **extra})


@pytest.mark.parametrize("formatter", [logs.Line(), logs.JsonLine()])
@pytest.mark.parametrize("address", PEOPLE)
def test_addresses_of_people_are_masked(formatter: logging.Formatter, address: str) -> None:
    said = formatter.format(record(f"Bad request from {address} at /L/"))
    assert address.lower() not in said.lower()
    assert "Bad request from" in said
    assert "203.0.113" not in said
    assert address in logging.Formatter("{message}", style="{").format(record(f"Bad request from {address}")), "control"


@pytest.mark.parametrize("text", KEPT)
def test_what_is_nobodys_address_stays(text: str) -> None:
    assert text in logs.without_people(f"listening at {text} now")


def test_a_line_of_json_holds_the_failure_and_the_status() -> None:
    try:
        raise ValueError("tove@guides.example was typed")
    except ValueError:
        told = json.loads(logs.JsonLine().format(record("Broken\nhere", exc_info=sys.exc_info(), status_code=500)))
    assert (told["message"], told["level"], told["status"]) == ("Broken\nhere", "WARNING", 500)
    assert "ValueError: [mail] was typed" in told["failure"]
