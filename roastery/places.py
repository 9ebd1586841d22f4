"""Where files lie: a folder, or a bucket of any object store that speaks S3."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

_FILES = "guides.documents.write_once.WriteOnceStorage"
_OBJECTS = "storages.backends.s3.S3Storage"


@dataclass(frozen=True)
class Bucket:
    """A bucket's name, and what every name in it begins with."""

    name: str
    prefix: str = ""


@dataclass(frozen=True)
class ObjectStore:
    """How to reach the store that buckets are in; an empty endpoint is the region's own."""

    endpoint: str = ""
    region: str = ""
    access_key: str = field(default="", repr=False)
    secret_key: str = field(default="", repr=False)


Place = Path | Bucket


def read(text: str) -> Place:
    """Read a place, written as a folder's full path or as ``s3://bucket/prefix``.

    Raises:
        ValueError: it is neither; the text says what to write.
    """
    if text.startswith("s3://"):
        parts = urlsplit(text)
        if not parts.hostname or parts.username or parts.query or parts.fragment:
            raise ValueError(f"is {text!r}; write s3://bucket or s3://bucket/prefix")
        return Bucket(parts.hostname, parts.path.strip("/"))
    if not text.startswith("/"):
        raise ValueError(f"is {text!r}; write the full path of a folder, or s3://bucket/prefix")
    return Path(text)


def storage(place: Place, store: ObjectStore, *, part: str = "", private: bool = False) -> dict[str, Any]:
    """Give what Django is told of a storage.

    Args:
        place: where it is.
        store: how buckets are reached.
        part: a folder in that place.
        private: whether files are for this user's eyes alone.
    """
    if isinstance(place, Path):
        mode = {"file_permissions_mode": 0o600} if private else {}
        return {"BACKEND": _FILES, "OPTIONS": {"location": place / part, **mode}}
    return {
        "BACKEND": _OBJECTS,
        "OPTIONS": {
            "bucket_name": place.name,
            "location": "/".join(filter(None, (place.prefix, part))),
            "endpoint_url": store.endpoint or None,
            "region_name": store.region or None,
            "access_key": store.access_key or None,
            "secret_key": store.secret_key or None,
            # Stores of one's own are mostly not reached by a name for every bucket.
            "addressing_style": "path" if store.endpoint else "auto",
            "signature_version": "s3v4",
            # Names are made from content: what is there already is the same.
            "file_overwrite": True,
            "default_acl": None,
        },
    }


def storages_at(text: str, *, store: ObjectStore) -> dict[str, dict[str, Any]]:
    """Give what Django is told of the storages of pictures, papers and codes in a place.

    Raises:
        ValueError: the text names no place.
    """
    return {part: storage(read(text), store, part=part) for part in ("media", "papers", "codes")}
