"""Two versions side by side: numbers as old → new, steps matched, words compared."""

from __future__ import annotations

import pytest

from guides.calculations.assess import assess
from guides.calculations.rounding import to_five_seconds
from guides.lifecycle import snapshot
from guides.lifecycle.draft import open_next
from guides.models import GuideVersion, Step, VersionText
from guides.presenters import difference, word_diff
from guides.presenters.numbers import NO_BREAK
from guides.queries import versions
from tests.factories import GuideVersionFactory, published

pytestmark = pytest.mark.django_db


@pytest.fixture
def first() -> GuideVersion:
    return published(GuideVersionFactory())


@pytest.fixture
def second(first: GuideVersion) -> GuideVersion:
    return open_next(first.guide, by=first.created_by)


def found(first: GuideVersion, second: GuideVersion, language: str = "en") -> difference.Difference:
    return difference.between(snapshot.read(first), snapshot.of(versions.by_id(second.pk)), language)


def rows(changes: tuple[difference.Change, ...]) -> list[tuple[str, ...]]:
    return [
        tuple(text.replace(NO_BREAK, " ") for text in (change.label, change.old, change.new, change.by))
        for change in changes
    ]


def test_equal_versions_differ_in_nothing(first: GuideVersion, second: GuideVersion) -> None:
    assert found(first, second).nothing


def test_numbers_stand_as_old_and_new_with_the_difference(first: GuideVersion, second: GuideVersion) -> None:
    GuideVersion.objects.filter(pk=second.pk).update(kettle_c="94.5", grind_um=720, server_ml=500)
    assert rows(found(first, second).numbers) == [
        ("Kettle", "97 °C", "94.5 °C", "−2.5 °C"),
        ("Grind", "660 \u03bcm", "720 \u03bcm", "+60 \u03bcm"),
        ("Server at least", "–", "500 mL", ""),
    ]


def test_a_coarser_grind_drains_earlier_by_as_much_as_the_two_assessments_say(
    first: GuideVersion, second: GuideVersion
) -> None:
    GuideVersion.objects.filter(pk=second.pk).update(grind_um=800)
    old, new = snapshot.read(first), snapshot.of(versions.by_id(second.pk))
    before, after = (assess(side.plan, new.conditions, side.targets) for side in (old, new))
    sooner = to_five_seconds(before.drained.likely - after.drained.likely)
    assert sooner >= 5
    assert f"drains about {sooner:.0f}{NO_BREAK}s earlier" in found(first, second).effects


def test_what_was_learnt_in_between_is_no_effect_of_words(first: GuideVersion, second: GuideVersion) -> None:
    GuideVersion.objects.filter(pk=second.pk).update(title="Another title")
    assert found(first, second).effects == ()
    assert found(first, second).words_only


def kinds(first: GuideVersion, second: GuideVersion) -> list[tuple[str, int | None, int | None]]:
    return [(step.kind, step.old_number, step.new_number) for step in found(first, second).steps]


def test_a_step_between_two_others_is_one_step_added(first: GuideVersion, second: GuideVersion) -> None:
    for step in reversed(second.steps.filter(position__gt=1)):
        Step.objects.filter(pk=step.pk).update(position=step.position + 1)
    Step.objects.create(version=second, position=2, action="stir", start_s=20, end_s=25, turns=2)
    assert kinds(first, second) == [("added", None, 2)]


def test_a_step_that_went_is_one_step_removed(first: GuideVersion, second: GuideVersion) -> None:
    second.steps.filter(position=3).delete()
    assert ("removed", 3, None) in kinds(first, second)
    assert len(kinds(first, second)) == 1


def test_a_step_that_goes_before_another_has_moved(first: GuideVersion, second: GuideVersion) -> None:
    """The swirl at the end comes right after the first pour."""
    second.steps.filter(action="swirl").update(position=0, start_s=15, end_s=15)
    Step.objects.filter(version=second, position=1).update(position=-0)
    swirl, pour = second.steps.get(action="swirl"), second.steps.order_by("start_s").first()
    Step.objects.filter(pk=pour.pk).update(position=0)
    Step.objects.filter(pk=swirl.pk).update(position=1)
    assert kinds(first, second) == [("moved", 5, 2)]


def test_a_changed_step_says_what_of_it(first: GuideVersion, second: GuideVersion) -> None:
    second.steps.filter(position=2).update(start_s=50, target_g=130, path="centre", height="high")
    (step,) = found(first, second).steps
    assert (step.kind, step.new_number) == ("changed", 2)
    assert rows(step.changes) == [
        ("time", "0:45–1:00", "0:50–1:00", ""),
        ("scale shows", "120 g", "130 g", "+10 g"),
        ("path of the stream", "in circles from the rim inward", "into the centre", ""),
        ("kettle height", "–", "high", ""),
    ]


def test_words_are_compared_word_by_word_in_each_language(first: GuideVersion, second: GuideVersion) -> None:
    GuideVersion.objects.filter(pk=second.pk).update(summary="Clear, floral and light.")
    second.steps.filter(position=1).update(why="Lets most of the gas out.")
    VersionText.objects.create(version=second, language="sv", title="Outer Mark i Mast")
    labels = {change.label: change.parts for change in found(first, second).words}
    assert set(labels) == {"English: in a sentence", "English: step 1, why", "Svenska: title"}
    assert [(part.kind.value, part.text) for part in labels["English: step 1, why"]] == [
        ("same", "Lets "), ("added", "most of "), ("same", "the gas out."),
    ]  # fmt: skip
    assert [part.kind.value for part in labels["Svenska: title"]] == ["added"]


def test_parts_put_together_give_both_texts_back() -> None:
    old, new = "Stir once, then wait.", "Stir twice, gently; then wait!"
    found = word_diff.parts(old, new)
    assert "".join(part.text for part in found if part.kind != "removed") == new
    before = "".join(part.text for part in found if part.kind != "added")
    assert before.replace(" ", "") == old.replace(" ", "")


def test_a_word_before_a_new_comma_is_still_the_same_word() -> None:
    kept = [
        part.text for part in word_diff.parts("Clear and floral.", "Clear, sweet and light.") if part.kind == "same"
    ]
    assert kept == ["Clear", "and ", "."]
