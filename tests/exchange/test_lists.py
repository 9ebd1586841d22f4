"""Lists that go out: safe in a spreadsheet, and read back as they were."""

from __future__ import annotations

import csv
import io
import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guides.exchange import formulas, lists
from guides.exchange.incoming import take_in
from guides.exchange.incoming.cells import Dates, Decimals, Reading
from guides.exchange.incoming.kinds import KINDS
from guides.exchange.lists import Style
from guides.lifecycle.lots import register
from guides.models import Coffee, GreenLot, User
from tests.factories import CoffeeFactory, GrinderFactory, LotFactory, published

# OWASP, "CSV Injection": cells that begin with these are calculated; tab and carriage return are passed over first.
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
PREFIXES = [
    *DANGEROUS,
    *(blank + sign for blank in (" ", "\u00a0", "\t", "\r", "\n", "\x00", "\ufeff", "\u200b") for sign in DANGEROUS),
    "=cmd|' /C calc'!A0 ", '=HYPERLINK("http://evil.example")', "@SUM(1+1)*", "+1-1", "-2+3+cmd|", "'=", '"=', ";=",
    ",=",
]  # fmt: skip


def is_formula(cell: str) -> bool:
    """Whether a spreadsheet would calculate a cell: the rule of the source, blanks and unseen marks passed over."""
    return cell.strip(" \u00a0\x00\ufeff\u200b\t\r\n")[:1] in {"=", "+", "-", "@", "＝", "＋", "－", "＠"}


def out(name: str, style: Style = Style.COMMA) -> list[list[str]]:
    written = io.StringIO(newline="")
    lists.write(name, written, style)
    text = written.getvalue().removeprefix("\ufeff")
    return list(csv.reader(io.StringIO(text, newline=""), delimiter="," if style is Style.COMMA else ";", strict=True))


def dangerous_coffees() -> None:
    made = [CoffeeFactory.build(name=f"C{n}", code=f"C{n}", slug=f"c{n}", origin=f"{prefix}1+1"[:80])
            for n, prefix in enumerate(PREFIXES)]  # fmt: skip
    Coffee.objects.bulk_create(made)


@pytest.mark.django_db
@pytest.mark.parametrize("style", Style)
def test_no_text_is_a_formula(style: Style) -> None:
    dangerous_coffees()
    cells = list(itertools.chain(*out("coffees", style)))
    found = [cell for cell in cells if is_formula(cell)]
    print(f"{len(PREFIXES)} prefixes re-read in {len(cells)} cells: {len(found)} formulas")
    assert len(PREFIXES) >= 100
    assert found == []


@pytest.mark.django_db
def test_control_without_the_guard_there_are_formulas(monkeypatch: pytest.MonkeyPatch) -> None:
    dangerous_coffees()
    monkeypatch.setattr(lists, "as_text", str)
    assert sum(is_formula(cell) for cell in itertools.chain(*out("coffees"))) > 70


@given(st.text(alphabet=st.characters(exclude_categories=["Cc", "Cs"])))
def test_any_text_comes_back(text: str) -> None:
    assert formulas.without_prefix(formulas.as_text(text)) == text


@pytest.mark.django_db
@pytest.mark.parametrize("style", Style)
def test_every_list_comes_back_as_it_went_out(style: Style, roaster: User) -> None:
    coffee = CoffeeFactory(
        name="Kølkajen, mørk; ”☕”", origin="=1+1", description="Two\r\nlines, “quoted”", gtin="04006381333931"
    )
    register(LotFactory.build(coffee=coffee, rest_days=5, best_days=30, qc_kg="0.25"), by=roaster)
    GrinderFactory()
    GreenLot.objects.create(name="-5 below", mass_kg="600.5")
    reading = Reading(Dates.ISO, Decimals.COMMA if style is Style.SEMICOLON else Decimals.POINT)
    for name, kind in KINDS.items():
        written = io.StringIO(newline="")
        count = lists.write(name, written, style)
        plan = take_in.look(kind, written.getvalue().encode(), reading)
        assert not plan.refused, [str(trouble) for row in plan.refused for trouble in row.troubles]
        assert [planned.changes for planned in plan.changed] == [], name
        assert len(plan.unchanged) == count


@pytest.mark.django_db
def test_guides_and_codes_are_told() -> None:
    version = published()
    lot = register(LotFactory.build(coffee=version.guide.coffee), by=version.created_by)
    headings, row = out("guides")
    assert dict(zip(headings, row, strict=True))["title"] == version.title
    assert out("lots")[1][-1] == lot.addresses.get().code
