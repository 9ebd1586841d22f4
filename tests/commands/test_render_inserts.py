"""Printing from the command line: the right file, or none and the reason."""

import io
import shutil
from pathlib import Path

import pypdf
import pytest
from django.core.management import CommandError, call_command

from guides.lifecycle.recall import recall
from guides.queries import lots
from tests.documents.conftest import bag, paper_folder, roastery  # noqa: F401
from tests.documents.printing import decoded_by_zxing, printed
from tests.factories import LotFactory, UserFactory, published

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
        ("RW-078", {"languages": ["fi"]}, r"no words in this language \(fi\)"),
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
    site.must("migrate", "-v0")
    site.run("from tests.factories.packed import packed; packed(name='OM-071')")
    for name in ("first.pdf", "second.pdf"):
        site.must("render_inserts", "OM-071", "--output", site.folder / name)
        shutil.rmtree(site.folder / "papers")
    assert (site.folder / "first.pdf").read_bytes() == (site.folder / "second.pdf").read_bytes()
