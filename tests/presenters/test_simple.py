"""Six lines for a novice: no term of the trade, no number of their own, the same figures as the table."""

from __future__ import annotations

import datetime
import itertools
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from django.utils.translation import override

from guides.calculations.plan import Action
from guides.lifecycle import snapshot
from guides.models import Roastery, Step
from guides.presenters import guide_sheet, meaning, simple
from tests.factories import GuideVersionFactory, ValveVersionFactory

TERMS = {
    "en": r"slurry|µm|micro|bypass|TDS|extract|yield|drawdown|\bbeds?\b|bloom|agitat|immers|brew ratio|degas|fines",
    "sv": r"slurry|µm|mikro|bypass|TDS|extra[hk]|utbyte|bädd|blom|immers|bryggförhållande|avgas|finpartik",
    "fi": r"slurry|µm|mikro|ohivirt|TDS|uut[et]|saanto|\bpet[ii]|liet|kukin|immers|annossuhde|hienoaine",
}
TODAY = datetime.date(2026, 11, 25)


def terms_in(text: str, language: str) -> list[str]:
    return re.findall(TERMS[language], text, re.IGNORECASE)


@pytest.mark.parametrize(
    ("language", "wrong"),
    [
        ("en", "Stir the slurry."),
        ("en", "Grind at 700 µm."),
        ("sv", "Häll genom bädden."),
        ("fi", "Uutetaan hitaasti."),
    ],
)
def test_control_a_term_is_noticed(language, wrong):
    assert terms_in(wrong, language)


@pytest.mark.parametrize("language", TERMS)
@pytest.mark.django_db
def test_what_we_compose_holds_no_term_and_no_number(language):
    version = ValveVersionFactory()
    plan = snapshot.of(version).plan
    with override(language):
        pours = [step for step in plan.steps if step.action is Action.POUR]
        said = {simple.words(plan, step) for step in [*plan.steps, *pours]}
        for action, taste in itertools.product(set(Action) - {Action.POUR}, (True, False)):
            step = next(step for step in plan.steps if step.action is not Action.POUR)
            said.add(simple.words(_with(plan, bypass_to_taste=taste), _with(step, action=action)))
    assert len(said) >= 11
    for words in said:
        assert not terms_in(words, language), words
        assert not re.search(r"\d", words), words
        assert len(words) <= 80


def _with(thing, **changes):
    return replace(thing, **changes)


@pytest.mark.parametrize("language", TERMS)
def test_the_demos_own_simple_words_hold_no_term(language):
    found = 0
    for file in Path("guides/management/demo").glob("guide_*.toml"):
        for step in tomllib.loads(file.read_text(encoding="utf-8"))["steps"]:
            if words := step.get(language, {}).get("simple"):
                found += 1
                assert not terms_in(words, language), words
    assert found >= 25


@pytest.mark.django_db
def test_every_layer_shows_the_same_figures():
    sheet = guide_sheet.build(ValveVersionFactory(), language="en", today=TODAY)
    lines = simple.lines(sheet)
    assert [line.target for line in lines] == [step.target for step in sheet.steps]
    assert [line.step for line in lines] == list(sheet.steps)

    told = meaning.how_to(sheet, Roastery(name="Mossgull"))["step"]
    for step, machine in zip(sheet.steps, told, strict=True):
        assert step.clock in machine["name"]
        assert not step.target or step.act in machine["name"]


@pytest.mark.django_db
def test_a_roasters_words_stand_before_ours():
    version = GuideVersionFactory()
    Step.objects.filter(version=version, position=1).update(simple="Wet it all.")
    lines = simple.lines(guide_sheet.build(version, language="en", today=TODAY))
    assert ([step.simple for step in lines[0].said], lines[1].said) == (["Wet it all."], ())
    assert lines[1].composed


@pytest.mark.django_db
def test_a_long_plan_is_still_six_lines_and_loses_no_act():
    steps = (
        {"start_s": 0, "end_s": 10, "target_g": 48},
        {"start_s": 12, "end_s": 14, "action": "stir", "turns": 1},
        {"start_s": 45, "end_s": 60, "target_g": 120},
        {"start_s": 62, "end_s": 64, "action": "swirl", "turns": 1},
        {"start_s": 75, "end_s": 90, "target_g": 192},
        {"start_s": 92, "end_s": 93, "action": "stir", "turns": 1},
        {"start_s": 105, "end_s": 120, "target_g": 264},
        {"start_s": 125, "end_s": 125, "action": "swirl", "turns": 1},
    )
    sheet = guide_sheet.build(GuideVersionFactory(steps=steps), language="en", today=TODAY)
    lines = simple.lines(sheet)
    assert len(lines) == simple.LINES
    whole = " ".join(line.composed for line in lines)
    assert (whole.count("Stir"), whole.count("Swirl")) == (2, 2)
    assert [line.target for line in lines if line.target] == [step.target for step in sheet.steps if step.target]
