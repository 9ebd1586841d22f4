"""The picture beside a passed-on link. Size: the Open Graph protocol's og:image:width and height; 1200 × 630 is common
practice, no source."""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageChops

from guides.documents import share_picture
from guides.models import Roastery, VersionText
from guides.presenters import guide_sheet
from guides.queries import versions
from tests.factories import GuideVersionFactory, published

pytestmark = pytest.mark.django_db
LONG = {
    "en": "The very long morning guide to Outer Mark for two in the Mast cone, slow pulses",  # 80 is the most
    "sv": "Långsam morgonbryggning av Outer Mark för två i Mastkonen med fem små hällningar",
    "fi": "Pitkä aamu-uutto Outer Markille kahdelle Mast-kartiossa viidellä pienellä kaadolla"[:80],
}


@pytest.fixture(autouse=True)
def house(settings, tmp_path) -> Roastery:
    settings.MEDIA_ROOT = tmp_path
    return Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv", "fi"])


def sheet_in(language: str, title: str):
    written = GuideVersionFactory(title=title, guide__slug=f"guide-{language}-{len(title)}")
    VersionText.objects.create(version=written, language="sv", title=title)
    version = versions.by_id(published(written).pk)
    return guide_sheet.build(version, language=language, today=version.published_at.date())


def drawn(sheet, house) -> Image.Image:
    return Image.open(io.BytesIO(share_picture.png(sheet, house))).convert("RGB")


@pytest.mark.parametrize("language", ["en", "sv", "fi"])
@pytest.mark.parametrize("title", ["short", "long", "one long word"])
def test_nothing_runs_out_of_the_picture(language, title, house):
    """Ink keeps clear of the right and lower edge, and of the row of figures, however long the title."""
    words = {"short": "Ice", "long": LONG[language], "one long word": "Kahvinsuodatuslaite" * 4}[title]
    picture = drawn(sheet_in(language, words), house)
    assert picture.size == (1200, 630)
    ground = Image.new("RGB", picture.size, picture.getpixel((1190, 10)))
    ink = ImageChops.difference(picture, ground).convert("L").point(lambda value: 255 if value > 24 else 0)
    assert ink.crop((1136, 0, 1200, 630)).getbbox() is None
    assert ink.crop((24, 585, 1200, 630)).getbbox() is None
    assert ink.crop((24, 432, 1200, 451)).getbbox() is None
    assert ink.crop((72, 110, 1136, 430)).getbbox() is not None


def test_it_is_small_and_drawn_once(house, monkeypatch):
    sheet = sheet_in("en", "Ice")
    first = share_picture.png(sheet, house)
    assert len(first) < 60_000
    monkeypatch.setattr(share_picture, "_drawn", lambda *_: pytest.fail("drawn twice"))
    assert share_picture.png(sheet, house) == first


def test_its_key_changes_with_what_it_shows(house):
    sheet = sheet_in("en", "Ice")
    before = share_picture.about(sheet, house)
    house.accent = "#005544"
    assert share_picture.about(sheet, house).key != before.key
    assert share_picture.about(sheet_in("sv", "Ice!"), house).key != before.key


def test_the_head_gets_address_size_and_words(client, house):
    sheet = sheet_in("sv", "Ice")
    about = share_picture.about(sheet, house)
    assert about.address.startswith("http://guides.test/sv/guides/")
    assert f'og:image" content="{about.address}"' in client.get(f"/sv/guides/{sheet.slug}/").content.decode()
    assert (about.width, about.height) == (1200, 630)
    assert "Ice" in about.alt
    assert "16\N{NO-BREAK SPACE}g" in about.alt
    answer = client.get(about.address.removeprefix("http://guides.test"))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/png"
    assert "immutable" in answer["Cache-Control"]
    assert answer["Cross-Origin-Resource-Policy"] == "cross-origin"
    assert answer.content[1:4] == b"PNG"


def test_an_old_key_leads_to_the_picture_of_today_and_a_draft_has_none(client, house):
    sheet = sheet_in("en", "Ice")
    path = share_picture.about(sheet, house).address.removeprefix("http://guides.test")
    old = path.replace(path.split("share-")[1].removesuffix(".png"), "0" * 20)
    assert client.get(old)["Location"].endswith(path)
    hidden = GuideVersionFactory(guide__slug="hidden")
    assert client.get(f"/en/guides/{hidden.guide.slug}/share-{'0' * 20}.png").status_code == 404
