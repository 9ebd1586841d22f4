"""Pictures, papers and copies of backups in an object store: the S3 interface of moto's server, on this machine."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.core.management import call_command
from django.test import Client
from moto.server import ThreadedMotoServer
from pytest_django import Settings

from guides.exchange import kept_backups, stored_files
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


def test_credentials_stay_out_of_the_repr() -> None:
    assert "c4nary" not in repr(ObjectStore(access_key="c4nary", secret_key="c4nary"))
