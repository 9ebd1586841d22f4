"""A file far beyond the limit is refused in words, and the disk never holds more of it than the limit."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import TemporaryUploadedFile
from django.core.files.uploadhandler import TemporaryFileUploadHandler
from django.test import RequestFactory
from pytest_django import Settings

from guides.media import bounded

KILO = 1000


@pytest.fixture(autouse=True)
def _small(monkeypatch: pytest.MonkeyPatch, settings: Settings) -> None:
    monkeypatch.setattr(bounded, "LARGEST", 200 * KILO)
    monkeypatch.setattr(bounded, "MOST_TOGETHER", 500 * KILO)
    settings.FILE_UPLOAD_MAX_MEMORY_SIZE = 0  # straight to disk


def sizes(*sent: int) -> list[int]:
    files = {f"file{number}": BytesIO(bytes(size)) for number, size in enumerate(sent)}
    for number, file in enumerate(files.values()):
        file.name = f"{number}.bin"  # type: ignore[misc]
    request = RequestFactory().post("/", files)
    taken = [request.FILES[name] for name in files]
    assert all(isinstance(file, TemporaryUploadedFile) for file in taken)
    on_disk = [Path(file.temporary_file_path()).stat().st_size for file in taken]
    assert on_disk == [file.size for file in taken]
    for file in taken:
        file.close()
    return on_disk


def test_what_fits_comes_through_whole() -> None:
    assert sizes(200 * KILO) == [200 * KILO]


def test_of_what_is_too_large_one_byte_too_many_is_kept() -> None:
    assert sizes(5000 * KILO) == [200 * KILO + 1]


def test_many_files_together_have_a_limit_too() -> None:
    assert sum(sizes(*[150 * KILO] * 9)) == 500 * KILO


def test_control_without_it_all_of_it_is_on_the_disk(settings: Settings) -> None:
    name = f"{TemporaryFileUploadHandler.__module__}.{TemporaryFileUploadHandler.__name__}"
    settings.FILE_UPLOAD_HANDLERS = [name]
    assert sizes(5000 * KILO) == [5000 * KILO]
