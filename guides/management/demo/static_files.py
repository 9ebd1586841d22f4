"""Collects the static files once, and again only after one of them has changed."""

from __future__ import annotations

import hashlib

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command

# The API answers in JSON alone and shows no pages of its own.
UNUSED = ["rest_framework"]


def collect() -> None:
    """Bring the collected files up to date."""
    stamp, wanted = settings.DATA_DIR / "static.stamp", _fingerprint()
    if stamp.exists() and stamp.read_text() == wanted:
        return
    call_command("collectstatic", interactive=False, clear=True, ignore_patterns=UNUSED, verbosity=0)
    stamp.write_text(wanted)


def _fingerprint() -> str:
    digest = hashlib.sha256()
    for finder in get_finders():
        for name, storage in finder.list(UNUSED):
            digest.update(f"{name} {storage.size(name)} {storage.get_modified_time(name)}\n".encode())
    return digest.hexdigest()
