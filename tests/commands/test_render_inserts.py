"""Printing from the command line: the right file, or none and the reason."""

import io
import re
import shutil
from pathlib import Path

import pypdf
import pytest
from django.core.management import CommandError, call_command

from guides.documents.read_back import read
from guides.lifecycle.recall import recall
from guides.queries import lots
from tests.documents.conftest import bag, paper_folder, roastery  # noqa: F401
from tests.documents.printing import decoded_by_zxing, printed
from tests.factories import LotFactory, UserFactory, published
from tests.factories.packed import packed

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def output(tmp_path: Path) -> Path:
    return tmp_path / "inserts.pdf"


def codes(file: Path) -> list[str]:
    """The end of every address in the file, page by page."""
    pdf = file.read_bytes()
    pages = range(1, len(pypdf.PdfReader(io.BytesIO(pdf)).pages) + 1)
    return [text.rpartition("/")[2] for page in pages for text in decoded_by_zxing(printed(pdf, page))]


def test_every_guide_of_the_lot_in_the_language_it_was_written_in(bag, output, capsys):  # noqa: F811
    lot, version = bag
    other = published(guide__coffee=lot.coffee)
    lot.assignments.create(guide=other.guide)
    call_command("render_inserts", "RW-078", output=output)
    assert codes(output) == [f"{version.guide.number}.1.EN", f"{other.guide.number}.1.EN"]
    assert "2 inserts of lot RW-078" in capsys.readouterr().out


def test_one_guide_in_two_languages_by_the_code_on_the_bag(bag, output):  # noqa: F811
    lot, version = bag
    number = version.guide.number
    code = lots.code_of(lot).lower()
    call_command("render_inserts", code, guide=number, languages=["sv", "en"], output=output)
    assert codes(output) == [f"{number}.1.SV", f"{number}.1.EN"]


def test_a_recalled_lot_leaves_the_old_file_alone(bag, output):  # noqa: F811
    output.write_bytes(b"old")
    recall(bag[0], by=UserFactory(role="publisher"), reason="A screw is missing from the cooling tray.")
    with pytest.raises(CommandError, match=r"Nothing was written\.\nLot RW-078 is recalled"):
        call_command("render_inserts", "RW-078", output=output)
    assert output.read_bytes() == b"old"


@pytest.mark.parametrize(
    ("lot", "options", "said"),
    [
        ("RW-999", {}, "neither a lot name nor an address code"),
        ("RW-078", {"guide": 99}, "No guide 99 is shown for lot RW-078"),
        ("RW-078", {"languages": ["de"]}, r"no words in this language \(de\)"),
        ("EMPTY", {}, "No guide is shown for lot EMPTY"),
    ],
)
def test_what_cannot_be_printed_is_said(bag, output, lot, options, said):  # noqa: F811
    LotFactory(name="EMPTY", coffee=bag[0].coffee)
    with pytest.raises(CommandError, match=said):
        call_command("render_inserts", lot, output=output, **options)
    assert not output.exists()


def test_a_folder_that_is_not_there_is_said(bag, tmp_path):  # noqa: F811
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("render_inserts", "RW-078", output=tmp_path / "none" / "inserts.pdf")


def test_two_processes_write_the_same_bytes(new_site):
    """Each with hash seeds of its own; the second finds nothing kept."""
    site = new_site()
    site.set_up()
    site.run("from tests.factories.packed import packed; packed(name='OM-071')")
    for name in ("first.pdf", "second.pdf"):
        site.must("render_inserts", "OM-071", "--output", site.folder / name)
        shutil.rmtree(site.folder / "papers")
    assert (site.folder / "first.pdf").read_bytes() == (site.folder / "second.pdf").read_bytes()


def test_many_lots_of_one_guide_on_sheets(bag, output, capsys):  # noqa: F811
    lot, version = bag
    other, _version = packed(version, name="RW-079")
    options = {"format": "card-a7", "sheet": "a4", "copies": 3, "skip": 4}
    call_command("render_inserts", "RW-078", "RW-079", output=output, **options)
    found = [(symbol.page, symbol.text.split("/")[-2]) for symbol in read(output.read_bytes()).symbols]
    mine, others = lots.code_of(lot), lots.code_of(other)
    # Eight places on a sheet, four of them used up.
    assert sorted(found) == sorted([(0, mine)] * 3 + [(0, others)] + [(1, others)] * 2)
    assert "3 inserts of each of 2 lots" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("named", "options", "said"),
    [
        (["RW-078", "RW-079"], {}, "Several lots go on sheets. Add --sheet"),
        (["RW-078"], {"format": "poster"}, "No format is called “poster”. There are: sticker-50x30"),
        (["RW-078"], {"sheet": "a3"}, "No sheet is called “a3”. There are: a4, letter"),
        (["RW-078"], {"sheet": "a4", "languages": ["en", "sv"]}, "Sheets are in one language"),
        (["RW-078"], {"sheet": "a4", "copies": 0}, "--copies: at least 1"),
        (["RW-078"], {"sheet": "a4", "skip": 4}, "A sheet has 4 places; at most 3 of them"),
        (["RW-078"], {"sheet": "letter", "format": "wall-a4"}, "larger than the sheet"),
    ],
)
def test_what_goes_on_no_sheet_is_said(bag, output, named, options, said):  # noqa: F811
    packed(bag[1], name="RW-079")
    with pytest.raises(CommandError, match=re.escape(said)):
        call_command("render_inserts", *named, output=output, **options)
    assert not output.exists()
