"""What a bundle says of itself, and the version of its form."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any, Final

from guides.exchange.manifest import Member

FORM: Final = 1
"""Raised when files or lines of a bundle change their form. New tables and columns do not change it."""
NAME: Final = "bundle.json"
SCHEMA: Final = "schema.json"


class BadManifest(Exception):
    """It cannot be read; the text says why."""


@dataclass(frozen=True)
class Manifest:
    """``migrations`` names those of the app's tables; ``tables`` the rows of each; ``members`` every other file."""

    version: str
    made_at: str
    address: str
    migrations: list[str]
    tables: dict[str, int]
    members: dict[str, Member]
    form: int = FORM

    def to_json(self) -> str:
        return json.dumps(asdict(self), indent=1, sort_keys=True, ensure_ascii=False)


def read(text: bytes) -> Manifest:
    """Read a manifest.

    Raises:
        BadManifest: It is none, or of a later form than this version knows.
    """
    try:
        fields: dict[str, Any] = json.loads(text)
        form = int(fields.pop("form"))
        if form > FORM:
            raise BadManifest(f"It is of form {form}; this version reads up to {FORM}. Upgrade this site first.")
        members = {str(name): Member(**member) for name, member in fields.pop("members").items()}
        return Manifest(**fields, members=members, form=form)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise BadManifest("What it says of itself cannot be read.") from error
