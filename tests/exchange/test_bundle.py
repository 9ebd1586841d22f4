"""A bundle put into an empty site gives an equal one; a damaged or newer one is refused before anything is written."""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from pytest_django import Settings

from guides.exchange import fingerprints, stored_files
from guides.exchange.bundle import contents, make, rows
from guides.exchange.bundle import take_in as bundle_in
from guides.exchange.bundle.take_in import BundleRefused, take_in
from guides.lifecycle.lots import register
from guides.lifecycle.recall import recall
from guides.lifecycle.verify import verify
from guides.models import Address, Coffee, GuideVersion, User, triggers
from guides.models.base import FrozenRow
from guides.queries import versions
from guides.queries.contents import Contents, found
from tests.factories import (
    GrinderFactory,
    LotFactory,
    ReviewCommentFactory,
    TrialBrewFactory,
    UserFactory,
    published,
    ready_run,
)
from tests.factories.busy import busy_site

GUIDES, LOTS = (300, 2000) if os.environ.get("FULL_COUNTS") == "1" else (4, 30)
whole = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _own_storages(settings: Settings, tmp_path: Path) -> None:
    kind = "django.core.files.storage.FileSystemStorage"
    settings.STORAGES = settings.STORAGES | {
        name: {"BACKEND": kind, "OPTIONS": {"location": tmp_path / "stored" / name}} for name in ("default", "papers")
    }


def fill() -> None:
    """A site with something of everything that matters for a bag in a kitchen."""
    busy_site(LOTS, GUIDES, coffees=4, translated="sv")
    by = UserFactory(role="publisher")
    for _lot in range(5):
        recall(register(LotFactory.build(coffee=Coffee.objects.first()), by=by), by=by, reason="A screw, “loose” ☕.")
    run = ready_run()
    ReviewCommentFactory()
    TrialBrewFactory(of=published())
    GrinderFactory()
    stored_files.find("media/x")[0].save("pictures/kaj-480.webp", ContentFile(b"picture" * 500))
    stored_files.find("papers/x")[0].save(run.file, ContentFile(b"%PDF-1.7 of a run"))
    stored_files.find("papers/x")[0].save("again/made.pdf", ContentFile(b"%PDF-1.7 to be made again"))


def state() -> dict[str, Any]:
    """Hash of every table's columns that go, read past the bundle's own code; and of every file that goes."""
    told: dict[str, Any] = {}
    for model in contents.tables():
        named = {"content_type"} | set(contents.COLUMNS_STAY.get(model._meta.label, ())) | (
            {"id"} if model in contents.CALLED else set())  # fmt: skip
        columns = sorted(one.attname for one in model._meta.concrete_fields if one.name not in named)
        told[model._meta.label] = fingerprints.of_rows(iter(model._base_manager.order_by().values_list(*columns)))
        for several in model._meta.local_many_to_many:
            pairs = model._base_manager.values_list(
                *(contents.CALLED.get(model, ("pk",))), *(f"{several.name}__{name}" for name in
                contents.CALLED.get(several.related_model, ("pk",))))  # fmt: skip
            told[f"{model._meta.label}.{several.name}"] = sorted(map(str, pairs))
    for name in stored_files.names():
        storage, path = stored_files.find(name)
        with storage.open(path) as file:
            told[name] = hashlib.sha256(file.read()).hexdigest()
    return told


def empty() -> None:
    call_command("flush", interactive=False, verbosity=0)
    stored_files.remove_all()
    assert found() is Contents.NOTHING


@whole
@pytest.mark.data
def test_round_trip_into_an_empty_site_gives_an_equal_one(tmp_path: Path) -> None:
    fill()
    before, codes = state(), set(Address.objects.values_list("code", flat=True))
    file = make.make(tmp_path)
    empty()
    take_in(file)
    after = state()
    before.pop("papers/again/made.pdf")
    assert {name for name in before if before[name] != after.get(name)} == set()
    assert set(before) == set(after)
    assert set(Address.objects.values_list("code", flat=True)) == codes
    counted = sum(told.rows for told in after.values() if isinstance(told, fingerprints.Fingerprint))
    print(f"{GuideVersion.objects.count()} versions, {LOTS} lots and more, {counted} rows: equal")
    # What was published is still guarded, and still what was hashed.
    assert {name for name, _table in triggers.installed(connection)} >= triggers.expected_names(connection.vendor)
    version = versions.numbered().exclude(snapshot={}).first()
    assert verify(version) == []
    version.title = "Another"
    with pytest.raises(FrozenRow):
        version.save()
    with pytest.raises(DatabaseError, match=triggers.MESSAGE):
        GuideVersion.objects.filter(pk=version.pk).update(title="Another")
    # New rows get keys of their own, and nobody's password came along.
    assert LotFactory(coffee=Coffee.objects.first()).pk > 0
    assert not any(user.has_usable_password() for user in User.objects.exclude(pk=UserFactory().pk))


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    published()
    user = UserFactory(role="roaster")
    user.set_password("c4nary-password")
    user.save()
    stored_files.find("media/x")[0].save("pictures/kaj.webp", ContentFile(b"a picture"))
    return make.make(tmp_path)


Change = Callable[[dict[str, bytes], dict[str, Any]], None]


def forged(bundle: Path, change: Change, *, rehash: bool = False) -> Path:
    """Give a copy that was changed, with hashes that fit again if ``rehash``."""
    with zipfile.ZipFile(bundle) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    told = json.loads(files.pop("bundle.json"))
    change(files, told)
    if rehash:
        told["members"] = {
            name: {"size": len(data), "sha256": hashlib.sha256(data).hexdigest()} for name, data in files.items()
        }
    copy = bundle.with_name("forged.zip")
    with zipfile.ZipFile(copy, "w") as archive:
        for name, data in {**files, "bundle.json": json.dumps(told).encode()}.items():
            archive.writestr(name, data)
    return copy


def put(name: str, old: bytes, new: bytes) -> Change:
    def change(files: dict[str, bytes], _told: dict[str, Any]) -> None:
        assert old in files[name]
        files[name] = files[name].replace(old, new, 1)

    return change


def tell(**values: Any) -> Change:
    return lambda _files, told: told.update(values)


VERSIONS = "tables/guides.guideversion.jsonl"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "rehash", "reason"),
    [
        (tell(form=2), False, "of form 2; this version reads up to 1. Upgrade"),
        (tell(migrations=["9999_from_tomorrow"], version="9.0"), False, "version 9.0, which is newer"),
        (put("media/pictures/kaj.webp", b"a", b"b"), False, "media/pictures/kaj.webp in the bundle is damaged"),
        (put("tables/guides.coffee.jsonl", b"Ethiopia", b"Elsewhere"), False, "its hash differs"),
        (put(VERSIONS, b'"kettle_c":', b'"kettle_f":'), True, "kettle_f is not known to this version"),
        (put(VERSIONS, b'"dose_g":"', b'"dose_g":"x'), True, "cannot hold 'x"),
        (put(VERSIONS, b'"sha256":"', b'"sha256":"0'), True, "is not what was published: its hash differs"),
        (put(VERSIONS, b'"plan":{', b'"plan":{"more":1,'), True, "is not what was published: its hash differs"),
        (put("tables/guides.coffee.jsonl", b"{", b"<"), True, "is no JSON"),
        (lambda files, _told: files.update({"tables/guides.coffee.jsonl": b""}), True, "another number of rows"),
        (lambda files, _told: files.update({"media/../../escaped": b"x"}), True, "has no place here"),
        (lambda files, _told: files.update({"more": b"x"}), False, "other files than it names"),
        (lambda files, _told: files.pop(VERSIONS), False, "other files than it names"),
    ],
)  # fmt: skip
def test_unfit_bundles_are_refused_before_anything_is_written(
    bundle: Path, change: Change, rehash: bool, reason: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = forged(bundle, change, rehash=rehash)
    monkeypatch.setattr(bundle_in.site, "found", lambda: Contents.NOTHING)
    before = state()
    stored_files.remove_all()
    with pytest.raises(BundleRefused, match=reason):
        take_in(file)
    assert list(stored_files.names()) == []
    assert {name: told for name, told in before.items() if not name.startswith(("media/", "codes/"))} == state()


@pytest.mark.django_db
def test_control_without_the_check_a_forged_version_would_be_in(bundle: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = forged(bundle, put(VERSIONS, b'"plan":{', b'"plan":{"more":1,'), rehash=True)
    monkeypatch.setattr(bundle_in, "_refuse_bad_rows", lambda *_: None)
    with bundle_in.checked(file) as (archive, _told):
        (line, *_more) = bundle_in._lines(archive, VERSIONS)
    assert rows.Builder(GuideVersion, rows.called()).row(line).snapshot["plan"]["more"] == 1


@whole
def test_rows_that_lead_nowhere_are_refused_whole(bundle: Path) -> None:
    def orphan(files: dict[str, bytes], told: dict[str, Any]) -> None:
        files["tables/guides.brewer.jsonl"], told["tables"]["guides.Brewer"] = b"", 0

    file = forged(bundle, orphan, rehash=True)
    empty()
    with pytest.raises(BundleRefused, match="do not fit together"):
        take_in(file)
    assert not GuideVersion.objects.exists()
    assert list(stored_files.names()) == []


@whole
def test_control_files_that_nobody_takes_away_again_are_left_behind(
    bundle: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(FileSystemStorage, "delete", lambda *_args: None)
    with pytest.raises(AssertionError, match="kaj"):
        test_rows_that_lead_nowhere_are_refused_whole(bundle)


@pytest.mark.django_db
def test_a_filled_site_is_refused(bundle: Path) -> None:
    before = state()
    with pytest.raises(CommandError, match="not empty: it holds a roastery's own work"):
        call_command("import_bundle", bundle)
    assert state() == before


@pytest.mark.django_db
@pytest.mark.parametrize("content", [b"", b"no archive", b"PK\x05\x06" + bytes(18)])
def test_other_files_are_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "holiday.zip").write_bytes(content)
    with pytest.raises(CommandError, match="bundle"):
        call_command("import_bundle", tmp_path / "holiday.zip")
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("import_bundle", tmp_path / "none.zip")


@pytest.mark.django_db
def test_no_secret_is_in_it(bundle: Path) -> None:
    with zipfile.ZipFile(bundle) as archive:
        everything = b"".join(archive.read(name) for name in archive.namelist())
    user = User.objects.exclude(password="").order_by("-pk").first()
    assert user.username.encode() in everything
    assert user.password.encode() not in everything
    assert b"password" not in b"".join(line for line in everything.splitlines() if b'"username"' in line)


@pytest.mark.django_db
def test_commands_say_what_they_did(bundle: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("export_bundle", "--to", tmp_path)
    call_command("import_bundle", bundle, "--check")
    said = capsys.readouterr().out
    assert "bundle-" in said
    assert "Whole: made" in said
    with pytest.raises(CommandError, match="No bundle was made"):
        call_command("export_bundle", "--to", tmp_path / "nowhere")
