"""Every file that the site keeps, walked through Django's storages, wherever those are."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePosixPath

from django.core.files.storage import Storage, storages

from guides.queries.code_records import STORE

from .hashing import sha256_of

# What a backup calls each place, and its name among the storages.
PLACES = {"media": "default", "papers": "papers", STORE: STORE}


def names() -> Iterator[str]:
    """Give every stored file as place and path, such as ``media/roastery/ab12.webp``."""
    for place in PLACES:
        for path in _walk(find(place)[0], ""):
            yield f"{place}/{path}"


def find(name: str) -> tuple[Storage, str]:
    """Return the storage of a name from ``names`` and the path in it.

    Raises:
        KeyError: There is no such place.
    """
    place, _slash, path = name.partition("/")
    return storages[PLACES[place]], path


def is_plain(name: str) -> bool:
    """Tell a name from ``names`` from one that would land outside its folder."""
    path = PurePosixPath(name)
    return (
        bool(path.parts) and path.parts[0] in PLACES and len(path.parts) > 1 and not {"..", "."} & set(name.split("/"))
    )


def holds(name: str, sha256: str) -> bool:
    """Tell whether a file is stored with this very content."""
    storage, path = find(name)
    if not storage.exists(path):
        return False
    with storage.open(path) as stored:
        return sha256_of(stored) == sha256


def remove_all() -> int:
    """Remove every stored file and return how many there were."""
    doomed = list(names())
    for name in doomed:
        storage, path = find(name)
        storage.delete(path)
    return len(doomed)


def _walk(storage: Storage, folder: str) -> Iterator[str]:
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:  # nothing was ever stored
        return
    prefix = f"{folder}/" if folder else ""
    yield from (f"{prefix}{file}" for file in sorted(files) if not _is_draft(file))
    for inner in sorted(folders):
        yield from _walk(storage, f"{prefix}{inner}")


def _is_draft(file: str) -> bool:
    """Tell a file still being written: those have a dot in front until they are whole."""
    return file.startswith(".")
