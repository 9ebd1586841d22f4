"""An insert as it leaves the house: read back by readers that had no part in making it."""

import hashlib
import io
import subprocess

import pypdf
import pytest

from guides.documents import formats
from guides.documents.insert import InsertRefused, insert_pdf, inserts_pdf
from guides.presenters import addresses
from guides.queries import lots
from tests.documents.conftest import Made
from tests.documents.printing import decoded_by_opencv, decoded_by_zxing, printed
from tests.factories import published
from tests.factories.packed import packed

MM = 72 / 25.4


def read(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


def text(pdf: bytes, page: int) -> str:
    return " ".join(read(pdf).pages[page].extract_text().replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.fixture
def pdf(made: Made) -> bytes:
    return made.pdf


def test_two_sides_of_a6(pdf):
    # ISO 216: A6 is 105 by 148 mm.
    pages = read(pdf).pages
    assert len(pages) == 2
    for page in pages:
        assert float(page.mediabox.width) == pytest.approx(105 * MM, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(148 * MM, abs=0.1)


def test_the_front_is_the_simple_layer(made):
    front = text(made.pdf, 0)
    for expected in (
        "Mossgull Roasting Room",
        made.version.title,
        "L RW-078",
        "15 g",
        "180 g",
        "92 °C",
        "1:12",
        "0:40–1:00",
        "120 g",
        "Open the valve",
        f"{made.code[:4]} {made.code[4:]}",
    ):
        assert expected in front


def test_the_back_is_in_depth(pdf):
    back = text(pdf, 1)
    for expected in (
        "1.25–1.35 %",
        "Before the clock",
        "every ground is soaked",
        "Safety",
        "Local codes",
        "revision 1",
        "50 mm when printed at 100 %",
    ):
        assert expected in back


def test_figures_are_written_as_the_language_has_them(bag):
    pdf = insert_pdf(*bag, "sv")
    assert "Rope Walk i Tidegate S" in text(pdf, 0)
    assert "1,25–1,35 %" in text(pdf, 1)
    assert read(pdf).trailer["/Root"]["/Lang"] == "sv"


def test_two_decoders_read_the_address_and_it_is_the_only_code(pdf, made):
    expected = f"HTTP://GUIDES.TEST/L/{made.code}/1.1.EN"
    assert decoded_by_zxing(printed(pdf, page=1)) == [expected]
    assert decoded_by_opencv(printed(pdf, page=1)) == expected
    assert decoded_by_zxing(printed(pdf, page=2)) == []
    assert addresses.read(expected).edition.language == "en"


def test_the_code_is_large_enough(pdf):
    (symbol,) = decoded_by_zxing(printed(pdf, page=1), whole=True)
    corners = symbol.position
    width_mm = (corners.top_right.x - corners.top_left.x) / 300 * 25.4
    modules = 17 + 4 * int(symbol.extra["Version"])
    assert width_mm / modules >= formats.MODULE_MM
    assert width_mm * (modules + 8) / modules >= 20


def test_letters_are_embedded_and_subset(pdf, tmp_path):
    file = tmp_path / "insert.pdf"
    file.write_bytes(pdf)
    rows = subprocess.run(["pdffonts", file], capture_output=True, text=True, check=True).stdout.splitlines()[2:]
    assert rows
    for row in rows:
        name, *_kind, embedded, subset, _unicode, _number, _generation = row.split()
        assert (embedded, subset) == ("yes", "yes"), row
        assert name.partition("+")[2].startswith("Hyperlegible")


def test_screen_readers_can_follow(pdf, made):
    root = read(pdf).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert read(pdf).metadata.title == f"{made.version.title}, L\N{NO-BREAK SPACE}RW-078"
    # PDF/UA-1 (ISO 14289-1): the metadata say so, and every figure has words in its place.
    assert b"pdfuaid" in root["/Metadata"].get_data()
    figures = list(structure(root["/StructTreeRoot"], "/Figure"))
    assert len(figures) == 3
    assert all(figure["/Alt"].strip() for figure in figures)
    assert list(structure(root["/StructTreeRoot"], "/TH"))


def test_lists_hold_nothing_but_their_items(pdf):
    # ISO 32000-1, 14.8.4.3.3: the kids of a list are list items, or a caption.
    lists = list(structure(read(pdf).trailer["/Root"]["/StructTreeRoot"], "/L"))
    assert lists
    assert {kid.get_object()["/S"] for each in lists for kid in each["/K"]} <= {"/LI", "/Caption"}


def structure(element, kind: str):
    element = element.get_object()
    if element.get("/S") == kind:
        yield element
    children = element.get("/K", [])
    for child in children if isinstance(children, list) else [children]:
        if isinstance(child.get_object(), pypdf.generic.DictionaryObject):
            yield from structure(child, kind)


def test_the_same_insert_is_the_same_bytes(bag, paper_folder):
    first = insert_pdf(*bag, "en")
    (kept,) = paper_folder.rglob("*.pdf")
    assert kept.stem == hashlib.sha256(first).hexdigest()
    kept.unlink()
    assert insert_pdf(*bag, "en") == first


def test_a_kept_paper_is_handed_out_again_without_the_engine(bag, monkeypatch):
    first = insert_pdf(*bag, "en")
    monkeypatch.setattr("guides.documents.painting.Draft", None)
    assert insert_pdf(*bag, "en") == first


def test_a_damaged_paper_is_not_handed_out(bag, paper_folder):
    first = insert_pdf(*bag, "en")
    (kept,) = paper_folder.rglob("*.pdf")
    kept.write_bytes(first[: len(first) // 2])
    assert insert_pdf(*bag, "en") == first


def test_several_in_one_file(bag):
    lot, version = bag
    pdf = inserts_pdf(lot, [(version, "en"), (version, "sv")])
    assert [decoded_by_zxing(printed(pdf, page=page)) for page in (1, 3)] == [
        [f"HTTP://GUIDES.TEST/L/{lots.code_of(lot)}/{version.guide.number}.1.{language}"] for language in ("EN", "SV")
    ]
    assert len(read(pdf).pages) == 4


def test_paper_of_a_demo_site_is_marked(bag, settings):
    assert "SAMPLE" not in text(insert_pdf(*bag, "en"), 0)
    settings.PUBLIC_BASE_URL = settings.DEMO_BASE_URL
    assert "SAMPLE" in text(insert_pdf(*bag, "en"), 0)


def test_markup_in_a_text_is_printed_as_typed(roastery):
    """Whatever a text asks for, it is words on paper: no picture, no file, no address is followed."""
    typed = '<img src="file:///etc/hostname"><style>@import url(http://127.0.0.1:9/)</style>'
    lot, version = packed(published(title="<b>Outer</b> & Mark", summary=typed))
    front = text(insert_pdf(lot, version, "en"), 0)
    assert "<b>Outer</b> & Mark" in front
    assert typed.replace(" ", "") in front.replace(" ", "")


def test_nothing_to_print(bag):
    with pytest.raises(InsertRefused, match="nothing to print"):
        inserts_pdf(bag[0], [])
