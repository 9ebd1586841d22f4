"""One log line for each thing worth knowing, for eyes or for machines, without anybody's address in it."""

from __future__ import annotations

import datetime
import json
import logging
import re
from typing import Any, Final

_EMAIL: Final = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_IPV4: Final = re.compile(r"(?<![\d.])(?!127\.|0\.0\.0\.0)\d{1,3}(?:\.\d{1,3}){3}(?![\d.])")
_IPV6: Final = re.compile(
    r"(?<![\w:])(?=[0-9a-f:]*:[0-9a-f:]*:)(?!::1(?![\w:]))[0-9a-f:]{3,39}(?![\w:])", re.IGNORECASE
)
_CLOCK: Final = re.compile(r"\d{1,2}(?::\d{2}){1,2}")


class Line(logging.Formatter):
    """A line for eyes: time, level, where from, what."""

    def __init__(self) -> None:
        super().__init__("{asctime} {levelname} {name}: {message}", style="{")

    def format(self, record: logging.LogRecord) -> str:
        return without_people(super().format(record))


class JsonLine(logging.Formatter):
    """A line of JSON for machines; a failure's traceback is one of its values."""

    def format(self, record: logging.LogRecord) -> str:
        told: dict[str, Any] = {
            "time": datetime.datetime.fromtimestamp(record.created, datetime.UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "from": record.name,
            "process": record.process,
            "message": without_people(record.getMessage()),
        }
        if isinstance(status := getattr(record, "status_code", None), int):
            told["status"] = status
        if record.exc_info:
            told["failure"] = without_people(self.formatException(record.exc_info))
        return json.dumps(told, ensure_ascii=False)


def without_people(text: str) -> str:
    """Mask addresses of mail and of the network, wherever a library puts them; this machine's own stay."""
    text = _IPV4.sub("[address]", _EMAIL.sub("[mail]", text))
    return _IPV6.sub(lambda found: found[0] if _CLOCK.fullmatch(found[0]) else "[address]", text)
