"""What a backup says of itself: which version made it, for which tables, and the hash of every file in it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from typing import Any

from .fingerprints import Fingerprint

FORMAT = 2


class BadManifest(Exception):
    """The manifest cannot be read; the text says why."""


@dataclass(frozen=True)
class Member:
    """One file of a backup: its size in bytes and its SHA-256 in hexadecimal."""

    size: int
    sha256: str


@dataclass(frozen=True)
class Manifest:
    """``migrations`` names every applied one as ``app.name``; ``members`` are the files beside the manifest.

    ``tables`` has the fingerprint of each table; format 1 has none.
    """

    version: str
    made_at: str
    address: str
    database: str
    migrations: list[str]
    members: dict[str, Member]
    tables: dict[str, Fingerprint] = field(default_factory=dict)
    format: int = FORMAT

    def to_json(self) -> str:
        return json.dumps(asdict(self), indent=1, sort_keys=True, ensure_ascii=False)


def read(text: bytes) -> Manifest:
    """Read a manifest.

    Raises:
        BadManifest: It is no manifest, or of a later format than this version knows.
    """
    try:
        fields: dict[str, Any] = json.loads(text)
        form = int(fields.pop("format"))
        if form > FORMAT:
            raise BadManifest(f"It is of format {form}; this version reads up to {FORMAT}. Upgrade first.")
        members = {name: Member(**member) for name, member in fields.pop("members").items()}
        tables = {name: Fingerprint(**told) for name, told in fields.pop("tables", {}).items()}
        return Manifest(**fields, members=members, tables=tables, format=form)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise BadManifest("Its manifest cannot be read.") from error
