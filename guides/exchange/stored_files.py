"""Every file that the site keeps, walked through Django's storages, wherever those are."""

from __future__ import annotations

from collections.abc import Iterator

from django.core.files.storage import Storage, storages

# What a backup calls each place, and its name among the storages.
PLACES = {"media": "default", "papers": "papers"}


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
