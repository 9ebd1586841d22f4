"""Nothing is cut, lost, or printed over something else: long texts fit in smaller type or are refused by name."""

import re

import pytest

from guides.documents.formats import INSERT_A6, TEXT_FROM_TRIM_MM
from guides.documents.insert import InsertRefused, insert_pdf
from guides.documents.render import Draft
from guides.models import GuideVersion, Lot
from tests.documents.printing import print_of
from tests.factories import ValveVersionFactory, published
from tests.factories.guides import SHUT_FIRST
from tests.factories.packed import packed

FORTY_WORDS = (
    "Every ground is soaked before anything runs off, because the shut valve holds the water over the whole bed; open "
    "it too soon and you'd notice dry pockets at the wall and a thin cup, sour first and drying last."
)
# Paper for tests of misfits: one side, so that what spills is plain to see.
RULES = "@page{size:105mm 148mm;margin:5mm}:root{--live-height:138mm;--front-type:9pt;--back-type:9pt}"


def guide(why: str, step_why: str, **texts: str) -> tuple[Lot, GuideVersion]:
    steps = tuple({**step, "why": step_why} for step in SHUT_FIRST)
    return packed(published(ValveVersionFactory(why=why, steps=steps, **texts)))


def smallest_type_pt(pdf: bytes) -> float:
    return min(size for size, _text in print_of(pdf))


def test_forty_words_for_every_step_fit_in_smaller_type(roastery):
    assert len(FORTY_WORDS.split()) == 40
    long = insert_pdf(*guide(FORTY_WORDS, FORTY_WORDS), "en")
    words = "".join(text for _size, text in print_of(long))
    assert unbroken(words).count(unbroken(FORTY_WORDS)) == 7
    short = insert_pdf(*guide("", "Lets the gas out."), "en")
    assert smallest_type_pt(short) > smallest_type_pt(long)


def unbroken(text: str) -> str:
    """Without the spaces and hyphens that lines are broken at."""
    return re.sub(r"[\s-]", "", text)


def test_more_than_fits_is_refused_and_names_the_longest_texts(roastery):
    lot, version = guide(" ".join([FORTY_WORDS] * 2), f"{FORTY_WORDS} {FORTY_WORDS[:90]}")
    with pytest.raises(InsertRefused) as refusal:
        insert_pdf(lot, version, "en")
    assert "no room left for it on the back" in str(refusal.value)
    assert "Why this plan (" in str(refusal.value)
    assert "Why (" in str(refusal.value).replace("Why this plan (", "")
    assert "Before the clock (" not in str(refusal.value)


def test_a_word_wider_than_its_column_is_refused_by_name(roastery):
    lot, version = packed(published(title="W" * 80))
    with pytest.raises(InsertRefused, match="Title: too wide"):
        insert_pdf(lot, version, "en")


def test_a_letter_we_do_not_have_is_refused_by_name(roastery):
    lot, version = packed(published(title="Outer Mark क𓀀"))
    with pytest.raises(InsertRefused, match="Title: the letters for paper have no “क 𓀀”"):
        insert_pdf(lot, version, "en")


def test_both_sides_are_told_of_at_once(roastery):
    lot, version = guide(" ".join([FORTY_WORDS] * 2), f"{FORTY_WORDS} {FORTY_WORDS[:90]}", title="W" * 80)
    with pytest.raises(InsertRefused) as refusal:
        insert_pdf(lot, version, "en")
    assert "Title: too wide" in str(refusal.value)
    assert "no room left for it on the back" in str(refusal.value)


def laid(body: str, rules: str = RULES):
    return Draft(f'<html lang="en"><body>{body}</body></html>', INSERT_A6.sheets).lay_out(rules)


def found(body: str) -> dict[str, str]:
    from guides.documents.fit import misfits

    page = f'<section class="front" data-side="front">{body}</section><section data-side="back"><p>Back</p></section>'
    return {misfit.field: str(misfit) for misfit in misfits(laid(page), INSERT_A6)}


def test_what_keeps_to_the_paper_is_let_through():
    assert found('<p data-field="title">Title</p><p data-field="summary">Summary</p>') == {}


def test_a_text_that_spills_names_the_field():
    lines = "".join(f'<p data-field="step {number}">Line</p>' for number in range(1, 60))
    ((field, message),) = found(lines).items()
    assert field.startswith("step ")
    assert "no room left" in message


def test_a_text_that_reaches_into_the_foot_names_the_field():
    lines = "".join(f'<p data-field="step {number}">Line</p>' for number in range(1, 34))
    foot = '<div class="foot" data-foot="yes" data-field="code"><p>Code<br>Code<br>Code</p></div>'
    assert found(lines) == {}
    assert "step 33" in found(lines + foot) or "step 32" in found(lines + foot)


def test_texts_on_one_another_are_found():
    both = '<p data-field="title">Title</p><p data-field="summary" style="margin-top:-2.5mm">Summary</p>'
    assert "lies over" in found(both)["summary"]


def test_a_text_that_the_engine_drops_is_found():
    hidden = '<p data-field="cautions" style="display:none">Boiling water scalds.</p>'
    assert "some of it is lost" in found(hidden)["cautions"]


def test_a_text_too_near_the_edge_is_found():
    near = f'<p data-field="title" style="margin-left:-{5 - TEXT_FROM_TRIM_MM + 1}mm">Title</p>'
    assert "title" in found(near)
