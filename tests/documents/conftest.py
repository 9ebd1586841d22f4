"""Papers for tests: each test keeps them in a folder of its own, and those that nothing changes are made once."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import storages
from django.db import transaction

from guides.documents.insert import insert_pdf
from guides.models import GuideVersion, Lot, Roastery
from guides.queries import lots
from tests.factories import GuideFactory, ValveVersionFactory, published
from tests.factories.packed import packed
from tests.factories.words import in_finnish, in_swedish


@pytest.fixture(autouse=True)
def paper_folder(settings, tmp_path: Path) -> Path:
    """The folder that finished papers go to."""
    papers = {**settings.STORAGES["papers"], "OPTIONS": {"location": tmp_path / "papers"}}
    settings.STORAGES = {**settings.STORAGES, "papers": papers}
    assert storages["papers"].base_location == tmp_path / "papers"
    return tmp_path / "papers"


@pytest.fixture(autouse=True)
def _guides_from_number_1() -> None:
    """Addresses are as long as they are on a young site, however many guides other tests have made."""
    GuideFactory.reset_sequence(0)


def _roastery() -> Roastery:
    return Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])


@pytest.fixture
def roastery(db: None) -> Roastery:
    return _roastery()


@pytest.fixture
def bag(roastery: Roastery) -> tuple[Lot, GuideVersion]:
    """A lot with its published guide in English, Swedish and Finnish."""
    return _bag()


@dataclass(frozen=True)
class Made:
    """A finished insert, with what it was made from; their rows are gone again."""

    pdf: bytes
    code: str
    lot: Lot
    version: GuideVersion


@pytest.fixture(scope="session")
def made(django_db_setup: None, django_db_blocker: Any) -> Made:
    """The insert of such a bag in English, for tests that only look at it."""
    GuideFactory.reset_sequence(0)
    with django_db_blocker.unblock(), transaction.atomic():
        _roastery()
        lot, version = _bag()
        insert = Made(insert_pdf(lot, version, "en"), lots.code_of(lot), lot, version)
        assert insert.version.guide.number == 1
        transaction.set_rollback(True)
    return insert


def _bag() -> tuple[Lot, GuideVersion]:
    draft = ValveVersionFactory(
        strength_low_percent="1.25",
        strength_high_percent="1.35",
        why="Shut at first: every ground is soaked before anything runs off.",
    )
    in_swedish(draft)
    in_finnish(draft)
    return packed(published(draft), name="RW-078")
