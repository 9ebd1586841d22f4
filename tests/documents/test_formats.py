"""Formats against what is published about paper, letters and codes."""

import pytest
from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

from guides.documents.engine_needs import install_line, missing_packages
from guides.documents.formats import FORMATS, INSERT_A6, MODULE_MM, TEXT_FROM_TRIM_MM
from guides.documents.typefaces import FILES, SCRIPTS, missing_characters


def test_a6_is_a_quarter_of_a4():
    # ISO 216: A4 is 210 by 297 mm; halves are rounded down to whole millimetres.
    assert (INSERT_A6.width_mm, INSERT_A6.height_mm) == (210 // 2, 297 // 2)


@pytest.mark.parametrize("paper", FORMATS.values(), ids=FORMATS)
def test_margins_modules_and_type(paper):
    assert paper.margin_mm >= TEXT_FROM_TRIM_MM
    # The longest address of an insert on a site with a long name still has modules wide enough (version 5).
    assert max(paper.symbol_mm, (37 + 8) * MODULE_MM) / (37 + 8) >= MODULE_MM
    assert paper.symbol_mm >= 20
    assert list(paper.type_pt) == sorted(paper.type_pt, reverse=True)


@pytest.mark.parametrize("name", [*FILES, *(file for script in SCRIPTS for file in script.files)])
def test_the_smallest_x_is_tall_enough(name):
    # Regulation (EU) 1169/2011, article 13: an x at least 0.9 mm tall on packs with less than 80 cm2 to print on.
    with TTFont(finders.find(name)) as font:
        x_height = font["OS/2"].sxHeight / font["head"].unitsPerEm
    assert INSERT_A6.type_pt[-1] * 25.4 / 72 * x_height >= 0.9


def test_letters_we_have_and_have_not():
    assert missing_characters("Överhällning på 92 °C, 740 µm – “åäö” Éß½×") == []
    assert missing_characters("焙煎 ł ქ𓀀") == ["ქ", "𓀀"]


def test_the_engine_s_libraries_are_here_and_a_missing_one_is_named(monkeypatch):
    assert missing_packages() == []
    assert install_line() == ""
    monkeypatch.setattr("guides.documents.engine_needs._loads", lambda library: "subset" not in library)
    assert install_line() == "sudo apt-get install libharfbuzz-subset0"
