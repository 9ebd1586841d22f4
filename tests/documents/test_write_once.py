"""Papers on disk appear whole or not at all, and are never written again."""

import os
from pathlib import Path

import pytest
from django.core.files.base import ContentFile

from guides.documents.whole_files import write_whole
from guides.documents.write_once import WriteOnceStorage

NAME = "inserts/ab/abcd/1234.pdf"


class DiskFull(OSError):
    pass


@pytest.fixture
def storage(tmp_path: Path) -> WriteOnceStorage:
    return WriteOnceStorage(location=tmp_path)


def files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_a_paper_is_kept_under_its_name(storage, tmp_path):
    assert storage.save(NAME, ContentFile(b"paper")) == NAME
    assert (tmp_path / NAME).read_bytes() == b"paper"
    assert (tmp_path / NAME).stat().st_mode & 0o777 == 0o644


def test_a_name_is_written_once(storage, tmp_path):
    storage.save(NAME, ContentFile(b"paper"))
    before = (tmp_path / NAME).stat()
    assert storage.save(NAME, ContentFile(b"other")) == NAME
    assert (tmp_path / NAME).read_bytes() == b"paper"
    assert (tmp_path / NAME).stat().st_mtime_ns == before.st_mtime_ns
    assert (tmp_path / NAME).stat().st_ino == before.st_ino


@pytest.mark.parametrize("old", [None, b"old"])
@pytest.mark.parametrize("step", ["fsync", "chmod", "replace"])
def test_a_full_disk_leaves_the_old_state(step, old, tmp_path, monkeypatch):
    target = tmp_path / "insert.pdf"
    if old:
        target.write_bytes(old)

    def fail(*_arguments: object, **_options: object) -> None:
        raise DiskFull

    monkeypatch.setattr(*{"fsync": (os, "fsync"), "chmod": (Path, "chmod"), "replace": (Path, "replace")}[step], fail)
    with pytest.raises(DiskFull):
        write_whole(target, [b"n" * 100_000])
    assert files(tmp_path) == ([target] if old else [])
    assert not old or target.read_bytes() == old


def test_a_chunk_that_fails_leaves_the_old_state(tmp_path):
    def chunks():
        yield b"half"
        raise DiskFull

    target = tmp_path / "insert.pdf"
    target.write_bytes(b"old")
    with pytest.raises(DiskFull):
        write_whole(target, chunks())
    assert files(tmp_path) == [target]
    assert target.read_bytes() == b"old"


def test_negative_control_django_s_own_storage_leaves_half_a_file(tmp_path):
    from django.core.files.storage import FileSystemStorage

    class Half(ContentFile):
        def chunks(self, chunk_size: int | None = None):
            yield b"half"
            raise DiskFull

    with pytest.raises(DiskFull):
        FileSystemStorage(location=tmp_path).save("insert.pdf", Half(b""))
    assert (tmp_path / "insert.pdf").exists()
