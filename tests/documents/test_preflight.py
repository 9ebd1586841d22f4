"""Papers that are wrong in one way each, and that every one of them is held back for that reason."""

import dataclasses

import pypdf
import pytest

from guides.codes import qr
from guides.documents import preflight
from guides.documents.formats import INSERT_A6, MODULE_MM
from guides.documents.insert import InsertRefused, insert_pdf
from guides.documents.preflight import Promise
from guides.documents.render import Draft
from guides.models import GuideVersion, Lot
from guides.presenters import addresses
from guides.queries import lots
from tests.factories import published
from tests.factories.packed import packed

PAGE = "@page{size:105mm 148mm}section{break-after:page}section:last-child{break-after:auto}p{font-family:Hyperlegible}"


@pytest.fixture
def promise(bag: tuple[Lot, GuideVersion]) -> Promise:
    return promise_for(*bag)


def promise_for(lot: Lot, version: GuideVersion, **other: object) -> Promise:
    edition = {"guide": version.guide.number, "revision": 1, "language": "en", **other}
    return Promise(addresses.of_insert(lots.code_of(lot), **edition), lot, version)


def paper(*texts: str, rules: str = PAGE, language: str = "en", symbol_mm: float = 30) -> bytes:
    """Two pages with the codes asked for on the first."""
    symbols = "".join(f"<p>Code</p>{qr.symbol(text).svg('Code')}" for text in texts)
    body = f"<section><p>Front</p>{symbols}</section><section><p>Back</p></section>"
    rules += f"svg{{display:block;width:{symbol_mm}mm;height:{symbol_mm}mm}}"
    html = f'<html lang="{language}"><head><title>t</title></head><body>{body}</body></html>'
    return Draft(html, ["css/tokens.css"]).lay_out(rules).pdf()


def reasons(pdf: bytes, *promises: Promise, language: str = "en") -> str:
    with pytest.raises(InsertRefused) as refusal:
        preflight.check(pdf, promises, INSERT_A6, language)
    assert len(refusal.value.reasons) == 1, refusal.value.reasons
    return str(refusal.value)


def test_a_right_paper_passes(promise):
    preflight.check(paper(str(promise.address)), [promise], INSERT_A6, "en")


def test_no_code_at_all(promise):
    assert "cannot be read from the finished file" in reasons(paper(), promise)


def test_a_code_too_many(promise):
    stray = str(addresses.of_lot(promise.address.code))
    assert "does not belong on this paper" in reasons(paper(str(promise.address), stray), promise)


def test_another_lots_code_is_found_on_the_paper(promise, bag):
    other, _version = packed(bag[1])
    wrong = dataclasses.replace(promise, address=promise_for(other, bag[1]).address)
    assert f"leads to lot {other} instead" in reasons(paper(str(wrong.address)), wrong)


def test_another_guide(promise):
    other = published()
    wrong = dataclasses.replace(promise, version=other)
    assert "leads to" in reasons(paper(str(promise.address)), wrong)


def test_a_revision_that_does_not_exist(bag):
    wrong = promise_for(*bag, revision=9)
    assert "leads to – instead" in reasons(paper(str(wrong.address)), wrong)


def test_a_code_nobody_issued(bag):
    wrong = dataclasses.replace(
        promise_for(*bag), address=addresses.of_insert("00000000", bag[1].guide.number, 1, "en")
    )
    assert "leads to lot – instead" in reasons(paper(str(wrong.address)), wrong)


def test_another_site(promise, settings):
    printed_before = paper(str(promise.address))
    settings.PUBLIC_BASE_URL = "https://elsewhere.test"
    now = dataclasses.replace(promise, address=dataclasses.replace(promise.address, site="https://elsewhere.test"))
    with pytest.raises(InsertRefused) as refusal:
        preflight.check(printed_before, [now], INSERT_A6, "en")
    assert "does not belong" in str(refusal.value)


def test_an_address_no_page_answers(promise, settings):
    settings.ROOT_URLCONF = "tests.documents.no_pages"
    assert "No page answers /L/" in reasons(paper(str(promise.address)), promise)


def test_a_code_too_small_for_a_phone(promise):
    side = qr.symbol(str(promise.address)).side
    small = side * MODULE_MM * 0.8
    assert "too small" in reasons(paper(str(promise.address), symbol_mm=small), promise)


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        (PAGE.replace("105mm", "104mm"), "Page 1 is 104.0 × 148.0 mm"),
        (PAGE.replace("section{break-after:page}", ""), "1 pages instead of 2"),
        (PAGE + "p{font-family:sans-serif}", "not one of our letters"),
    ],
)
def test_paper_and_letters(promise, rules, said):
    with pytest.raises(InsertRefused) as refusal:
        preflight.check(paper(str(promise.address), rules=rules), [promise], INSERT_A6, "en")
    assert said in str(refusal.value)


def test_a_language_that_is_not_the_papers(promise):
    assert "in “sv” instead of “en”" in reasons(paper(str(promise.address), language="sv"), promise)


def test_letters_that_are_not_in_the_file(promise, tmp_path):
    pdf = paper(str(promise.address))
    writer = pypdf.PdfWriter(clone_from=pypdf.PdfReader(_kept(tmp_path, pdf)))
    for page in writer.pages:
        for font in page["/Resources"]["/Font"].values():
            descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
            for key in ("/FontFile2", "/FontFile3"):
                descriptor.pop(key, None)
    writer.write(tmp_path / "stripped.pdf")
    with pytest.raises(InsertRefused, match="are not in the finished file"):
        preflight.check((tmp_path / "stripped.pdf").read_bytes(), [promise], INSERT_A6, "en")


def _kept(folder, pdf: bytes):
    (folder / "whole.pdf").write_bytes(pdf)
    return folder / "whole.pdf"


def test_a_file_that_is_no_pdf(promise):
    assert "cannot be read" in reasons(b"not a pdf", promise)


def test_nothing_is_kept_or_handed_over_when_the_last_look_fails(bag, paper_folder, monkeypatch):
    wrong = qr.symbol("HTTP://GUIDES.TEST/L/00000000")
    monkeypatch.setattr("guides.documents.insert.qr.symbol", lambda _text: wrong)
    with pytest.raises(InsertRefused, match="does not belong"):
        insert_pdf(*bag, "en")
    assert list(paper_folder.rglob("*.pdf")) == []
