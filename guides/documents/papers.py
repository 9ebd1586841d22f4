"""Finished papers, kept: made once for the same words, numbers and letters, found again by what they were made from."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

from django.contrib.staticfiles import finders
from django.core.files.base import ContentFile
from django.core.files.storage import Storage, storages

from .compose import House
from .formats import Format
from .typefaces import FILES, scripts_of


def key(documents: Sequence[str], paper: Format, house: House) -> str:
    """Give the name of everything a paper is made from: documents, style, letters, format and engine."""
    made_from = hashlib.sha256()
    for part in (*documents, repr(paper), repr(house), version("weasyprint")):
        made_from.update(part.encode() + b"\0")
    scripts = scripts_of("".join(documents))
    for name in (*paper.sheets, *FILES, *(file for script in scripts for file in (script.sheet, *script.files))):
        made_from.update(Path(str(finders.find(name))).read_bytes())
    return made_from.hexdigest()


def find(made_from: str) -> bytes | None:
    """Give the paper made from this before, if it is kept and whole: its name is the SHA-256 of its bytes."""
    storage, folder = _storage(), _folder(made_from)
    try:
        names = storage.listdir(folder)[1]
    except FileNotFoundError:
        return None
    for name in names:
        with storage.open(f"{folder}/{name}") as file:
            pdf = file.read()
        if hashlib.sha256(pdf).hexdigest() == name.removesuffix(".pdf"):
            return bytes(pdf)
    return None


def keep(made_from: str, pdf: bytes) -> str:
    """Keep a finished paper for good and give its name."""
    name = f"{_folder(made_from)}/{hashlib.sha256(pdf).hexdigest()}.pdf"
    return _storage().save(name, ContentFile(pdf))


def keep_run(pdf: bytes) -> str:
    """Keep the file of a packing run and give its name, which is made from its content."""
    digest = hashlib.sha256(pdf).hexdigest()
    return _storage().save(f"runs/{digest[:2]}/{digest}.pdf", ContentFile(pdf))


def kept_run(name: str) -> bytes | None:
    """Give the file of a packing run, if it is there and whole."""
    try:
        with _storage().open(name) as file:
            pdf = file.read()
    except FileNotFoundError:
        return None
    return bytes(pdf) if hashlib.sha256(pdf).hexdigest() == name.rpartition("/")[2].removesuffix(".pdf") else None


def _folder(made_from: str) -> str:
    return f"inserts/{made_from[:2]}/{made_from}"


def _storage() -> Storage:
    return storages["papers"]
