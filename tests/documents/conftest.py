"""Papers for tests: each test keeps them in a folder of its own."""

from pathlib import Path

import pytest
from django.core.files.storage import storages

from guides.models import GuideVersion, Lot, Roastery
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


@pytest.fixture
def roastery(db: None) -> Roastery:
    return Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])


@pytest.fixture
def bag(roastery: Roastery) -> tuple[Lot, GuideVersion]:
    """A lot with its published guide in English, Swedish and Finnish."""
    draft = ValveVersionFactory(
        strength_low_percent="1.25",
        strength_high_percent="1.35",
        why="Shut at first: every ground is soaked before anything runs off.",
    )
    in_swedish(draft)
    in_finnish(draft)
    return packed(published(draft), name="RW-078")
