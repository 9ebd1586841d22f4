"""Names and texts in other scripts: set in letters that are bundled, from right to left where they are read so."""

from __future__ import annotations

import subprocess
import unicodedata
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from django.contrib.staticfiles import finders

from guides.documents import compose, fitting
from guides.documents.formats import CARD_A7, FORMATS, INSERT_A6, STICKER_50X30, Format
from guides.documents.insert import inserts_pdf
from guides.documents.placed import Piece
from guides.documents.read_back import read
from guides.documents.typefaces import SCRIPTS, scripts_of
from guides.models import Coffee, GuideVersion, Lot
from tests.documents.test_every_format import ua_failures
from tests.factories import ValveVersionFactory, published
from tests.factories.guides import SHUT_FIRST
from tests.factories.packed import packed

Bag = tuple[Lot, GuideVersion]
# "Morning coffee" or near it, in each script; none of it is anybody's name.
NAMES = {
    "latin": "Łagodna żółta",
    "greek": "Πρωινός καφές",
    "cyrillic": "Ранкова кава ґ",
    "hebrew": "קפה של בוקר",
    "arabic": "قهوة الصباح",
    "japanese": "あさの珈琲焙煎",
    "chinese": "早晨咖啡浅烘",
    "korean": "아침 커피",
}


def letters(text: str) -> set[str]:
    """Letters whatever their form and order: a joined Arabic letter is read back as the form it was drawn in."""
    return {character for character in unicodedata.normalize("NFKC", text) if character.isalpha()}


def read_by_poppler(pdf: bytes) -> str:
    return subprocess.run(["pdftotext", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()


def test_an_ordinary_text_asks_for_no_further_letters() -> None:
    assert scripts_of("Överhällning på 92 °C, 740 µm – “åäö”") == []


@pytest.mark.parametrize(("key", "name"), NAMES.items())
def test_a_name_asks_for_the_letters_of_its_script_alone(key: str, name: str) -> None:
    assert [script.key for script in scripts_of(name)] == [key]


def test_every_script_has_its_style_sheet_letters_and_licence() -> None:
    for script in SCRIPTS:
        sheet = Path(str(finders.find(script.sheet))).read_text()
        for file, family in ((file, family) for file in script.files for family in script.families[:1]):
            assert file.rpartition("/")[2] in sheet
            assert f'font-family: "{family}"' in sheet
        maker = script.cuts[0].partition("-")[0].title()
        assert "SIL OPEN FONT LICENSE" in Path(str(finders.find(f"fonts/OFL-{maker}.txt"))).read_text()


@pytest.mark.parametrize("key", NAMES)
def test_a_name_in_another_script_is_printed_with_its_letters_in_the_file(bag: Bag, key: str) -> None:
    lot, version = bag
    Coffee.objects.filter(pk=lot.coffee_id).update(name=NAMES[key])
    draft = ValveVersionFactory(guide__coffee=Coffee.objects.get(pk=lot.coffee_id), title=NAMES[key])
    named, version = packed(published(draft))
    pdf = inserts_pdf(named, [(version, "en")], CARD_A7)
    found = read(pdf)
    families = next(script.families for script in SCRIPTS if script.key == key)
    assert {font.name for font in found.fonts} & {family.replace(" ", "-") for family in families}
    assert all(font.embedded for font in found.fonts)
    assert letters(NAMES[key]) <= letters(read_by_poppler(pdf))
    assert ua_failures(pdf) == []
    assert len(found.symbols) == 1


@pytest.fixture
def laid(monkeypatch: pytest.MonkeyPatch) -> list[list[Piece]]:
    """Where everything came to lie in each layout that was tried."""
    seen: list[list[Piece]] = []
    real = fitting.misfits

    def look(document: Any, paper: Format) -> Any:
        seen.append(list(document.pieces()))
        return real(document, paper)

    monkeypatch.setattr(fitting, "misfits", look)
    return seen


def written_in(language: str, settings: Any, **texts: str) -> Bag:
    settings.LANGUAGES = [*settings.LANGUAGES, (language, language)]
    steps = tuple({**step, "simple": texts["step"]} for step in SHUT_FIRST)
    draft = ValveVersionFactory(
        language=language, title=texts["title"], summary=texts["step"], why=texts["step"], steps=steps
    )
    return packed(published(draft))


HEBREW = {"title": "קפה של בוקר", "step": "לשטוף את הנייר ולמזוג לאט"}
ARABIC = {"title": "قهوة الصباح", "step": "اشطف الورق ثم صب الماء ببطء"}


@pytest.mark.parametrize(("language", "texts"), [("he", HEBREW), ("ar", ARABIC)])
def test_an_insert_read_from_right_to_left_is_laid_out_so(
    roastery: Any, settings: Any, laid: list[list[Piece]], language: str, texts: dict[str, str]
) -> None:
    lot, version = written_in(language, settings, **texts)
    pdf = inserts_pdf(lot, [(version, language)], INSERT_A6)
    assert read(pdf).language == language
    front = [piece for piece in laid[-1] if piece.side == "front"]
    (title,) = [piece for piece in front if piece.field == "title"]
    assert title.right == pytest.approx(INSERT_A6.width_mm - INSERT_A6.margin_mm, abs=0.3)
    first = [piece for piece in front if piece.field == "step 1"]
    clock = next(piece for piece in first if piece.text.startswith("0:00"))
    grams = next(piece for piece in first if "60" in piece.text and piece.right < 40)
    # The clock comes first, so it stands on the right, and what the scale shows on the left.
    assert grams.right < 40 < 70 < clock.left
    (symbol,) = [piece for piece in front if piece.field == "code" and not piece.text]
    assert symbol.left > 60
    # From low to high, in whatever direction the words go.
    assert seen(pdf, "0–60")
    assert not seen(pdf, "60–0")


def test_negative_control_a_dash_alone_goes_the_way_of_the_words(
    roastery: Any, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(compose, "_LEFT_TO_RIGHT", "–")
    lot, version = written_in("he", settings, **HEBREW)
    assert seen(inserts_pdf(lot, [(version, "he")], CARD_A7), "60–0")


def seen(pdf: bytes, text: str) -> bool:
    """Whether the first page shows a text, from left to right as the eye meets it."""
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    found = [
        (page.get_charbox(place, loose=True), page.get_text_range(place, 1)) for place in range(page.count_chars())
    ]
    ordered = sorted((round(bottom), left, shown) for (left, bottom, _right, _top), shown in found)
    return text in "".join(shown for _line, _left, shown in ordered if shown.isprintable() and not shown.isspace())


@pytest.mark.parametrize("paper", FORMATS.values(), ids=FORMATS)
def test_every_format_can_be_read_from_right_to_left(roastery: Any, settings: Any, paper: Format) -> None:
    lot, version = written_in("he", settings, **HEBREW)
    pdf = inserts_pdf(lot, [(version, "he")], paper)
    assert len(read(pdf).symbols) == 1
    assert ua_failures(pdf) == []
    if paper is not STICKER_50X30:
        assert letters(HEBREW["title"]) <= letters(read_by_poppler(pdf))
