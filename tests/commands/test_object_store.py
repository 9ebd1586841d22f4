"""Pictures, papers and copies of backups in an object store: the S3 interface of moto's server, on this machine."""

from __future__ import annotations

import io
import uuid
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.core.management import CommandError, call_command
from django.test import Client
from moto.server import ThreadedMotoServer
from pytest_django import Settings

from guides.exchange import copied_files, kept_backups, stored_files
from guides.models import Backup
from guides.models.kept_picture import picture_name
from roastery import places
from roastery.places import Bucket, ObjectStore
from tests.factories import CoffeeFactory
from tests.factories.shown import coffee_picture

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning:botocore")


@pytest.fixture
def store(settings: Settings, tmp_path: Path) -> Iterator[ObjectStore]:
    server = ThreadedMotoServer("127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    told = ObjectStore(f"http://{host}:{port}", "eu-north-1", "key", "secret")
    files, copies = Bucket(f"files-{uuid.uuid4()}", "guides"), Bucket(f"copies-{uuid.uuid4()}")
    settings.BACKUP_DIR, settings.BACKUP_COPY_TO = tmp_path / "backups", copies
    settings.STORAGES = settings.STORAGES | {
        "default": places.storage(files, told, part="media"),
        "papers": places.storage(files, told, part="papers"),
        kept_backups.COPIES: places.storage(copies, told, private=True),
    }
    for name in ("default", kept_backups.COPIES):
        storages[name].bucket.create(CreateBucketConfiguration={"LocationConstraint": told.region})
    yield told
    server.stop()


@pytest.mark.django_db(transaction=True)
def test_files_and_copies_of_backups_lie_in_buckets(store: ObjectStore, client: Client, settings: Settings) -> None:
    row = coffee_picture(CoffeeFactory())
    name = picture_name(row.name, row.widths[0], "webp")
    storages["papers"].save("2025/insert.pdf", ContentFile(b"%PDF-1.7 paper"))
    assert {f"media/{name}", "papers/2025/insert.pdf"} <= set(stored_files.names())
    whole = b"".join(client.get(f"/{name}").streaming_content)  # type: ignore[attr-defined]
    part = client.get(f"/{name}", headers={"range": "bytes=8-11"})
    assert (part.status_code, b"".join(part.streaming_content)) == (206, b"WEBP")  # type: ignore[attr-defined]
    assert whole[8:12] == b"WEBP"
    call_command("backup")
    made = Backup.objects.get()
    assert made.copied_at is not None
    assert storages[kept_backups.COPIES].size(made.file) == made.size_bytes
    settings.BACKUP_KEEP = 0
    kept_backups.let_the_oldest_go()
    assert not storages[kept_backups.COPIES].exists(made.file)


@pytest.mark.django_db(transaction=True)
def test_a_store_that_is_not_reached_is_told(store: ObjectStore, settings: Settings) -> None:
    settings.STORAGES = settings.STORAGES | {
        kept_backups.COPIES: places.storage(Bucket("nobodys-bucket"), store, private=True)
    }
    file, row = kept_backups.make(kept_backups.own_folder())
    with pytest.raises(kept_backups.NotCopied, match="could not be copied to"):
        kept_backups.copy_away(file, row)
    assert Backup.objects.get().copied_at is None


MOVED = f"moved-{uuid.uuid4()}"


@pytest.fixture
def local(store: ObjectStore, settings: Settings, tmp_path: Path) -> set[str]:
    """A site whose files still lie on its disk, and what they are called; and an empty bucket."""
    settings.STORAGES_AT = partial(places.storages_at, store=store)
    settings.STORAGES = settings.STORAGES | {
        part: places.storage(tmp_path, store, part=part) for part in ("default", "papers")
    }
    for number in range(4):
        storages["default"].save(f"pictures/Kaj–{number} ☕.webp", ContentFile(b"picture %d" % number))
    storages["papers"].save("2025/insert.pdf", ContentFile(b"%PDF-1.7 paper"))
    storages[kept_backups.COPIES].bucket.meta.client.create_bucket(
        Bucket=MOVED, CreateBucketConfiguration={"LocationConstraint": store.region}
    )
    return set(stored_files.names())


def copy_files() -> str:
    said = io.StringIO()
    call_command("copy_files", to=f"s3://{MOVED}/guides", stdout=said)
    return said.getvalue()


def test_a_site_moves_its_files_into_a_bucket_and_goes_on_where_it_was_cut_off(
    store: ObjectStore, local: set[str], settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = iter(range(2))
    send = copied_files._send

    def cut_off(*given: Any) -> None:
        if next(sent, None) is None:
            raise OSError("the line is cut")
        send(*given)

    monkeypatch.setattr(copied_files, "_send", cut_off)
    with pytest.raises(CommandError, match="could not be copied: the line is cut"):
        copy_files()
    monkeypatch.setattr(copied_files, "_send", send)
    assert copy_files().startswith(f"3 files copied to s3://{MOVED}/guides and read back equal, 2 were there already.")
    client = storages[kept_backups.COPIES].bucket.meta.client
    client.put_object(Bucket=MOVED, Key="guides/papers/2025/insert.pdf", Body=b"%PDF-1.7 PAPER")
    assert copy_files().startswith("1 files copied"), "as long as the right one, and damaged"
    client.delete_object(Bucket=MOVED, Key="guides/papers/2025/insert.pdf")
    with monkeypatch.context() as patch:
        patch.setattr("storages.backends.s3.S3Storage.save", lambda _self, name, _content: name)
        with pytest.raises(CommandError, match=r"2025/insert\.pdf came back different"):
            copy_files()
    with pytest.raises(CommandError, match=r"could not be copied: .*NoSuchBucket"):
        call_command("copy_files", to="s3://nobodys-bucket")
    with pytest.raises(CommandError, match="write the full path of a folder, or s3://bucket/prefix"):
        call_command("copy_files", to="bucket")
    copy_files()
    moved = settings.STORAGES_AT(f"s3://{MOVED}/guides")
    settings.STORAGES = settings.STORAGES | {"default": moved["media"], "papers": moved["papers"]}
    assert set(stored_files.names()) == local
    with storages["papers"].open("2025/insert.pdf") as paper:
        assert paper.read() == b"%PDF-1.7 paper"


def test_credentials_stay_out_of_the_repr() -> None:
    assert "c4nary" not in repr(ObjectStore(access_key="c4nary", secret_key="c4nary"))
