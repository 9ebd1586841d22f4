"""Takes every stored file to another place, reads it back there, and goes on where it was cut off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.conf import settings
from django.core.files import File
from django.core.files.storage import Storage, storages

from . import stored_files
from .hashing import sha256_of


class CopyFailed(Exception):
    """The place takes no files, or gave one back different; the text says which and what to do."""


@dataclass(frozen=True)
class Copied:
    """Files that are there now and equal: ``sent`` this time, or ``there`` before."""

    sent: int
    there: int


def copy(to: str, report: Callable[[int], object] = lambda _done: None) -> Copied:
    """Copy pictures and papers; what is there already and equal is left as it is.

    Nothing is removed here. Files are written once, so whatever is made meanwhile is taken by another run.

    Args:
        to: ``s3://bucket/prefix`` of a bucket that exists, or the full path of a folder.
        report: told after each file.

    Raises:
        ValueError: ``to`` is neither.
        CopyFailed: the first file that could not be taken or came back different.
    """
    sent = there = 0
    targets = {part: storages.create_storage(told) for part, told in settings.STORAGES_AT(to).items()}
    for name in stored_files.names():
        source, path = stored_files.find(name)
        target = targets[name.partition("/")[0]]
        try:
            if _equal(source, target, path):
                there += 1
            else:
                _send(source, target, path)
                sent += 1
        except CopyFailed:
            raise
        except Exception as error:  # each kind of store has its own
            raise CopyFailed(f"{name} could not be copied: {error}") from error
        report(1)
    return Copied(sent, there)


def count() -> int:
    """How many files there are."""
    return sum(1 for _name in stored_files.names())


def _send(source: Storage, target: Storage, path: str) -> None:
    if target.exists(path):
        target.delete(path)  # cut off half-way, or damaged
    with source.open(path) as file:
        target.save(path, File(file, name=path))
    if not _equal(source, target, path):
        raise CopyFailed(f"{path} came back different from there. Look at that store, then run this again.")


def _equal(source: Storage, target: Storage, path: str) -> bool:
    if not target.exists(path) or target.size(path) != source.size(path):
        return False
    with source.open(path) as ours, target.open(path) as theirs:
        return sha256_of(ours) == sha256_of(theirs)
