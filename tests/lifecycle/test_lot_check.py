"""Whether a bag and an insert belong together, and that every answer is kept."""

from __future__ import annotations

import datetime
from itertools import product

import pytest
from django.utils import timezone

from guides.choices import CheckAnswer, CheckMeans, Follow
from guides.lifecycle import assign, lot_check, recall, withdraw
from guides.lifecycle.draft import open_next
from guides.lifecycle.lot_check import Code
from guides.lifecycle.packing import count
from guides.models import GuideVersion, Lot, LotCheck, PackingRun, User
from tests.factories import PackingRunFactory, UserFactory, published
from tests.factories.packed import packed

from .conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]
TODAY = timezone.localdate()


def bag(lot: Lot | None) -> Code:
    return Code(f"L/{lot}", lot, is_of_bag=True)


def insert(lot: Lot | None, version: GuideVersion, revision: int | None = None) -> Code:
    return Code(f"L/{lot}/x", lot, guide=version.guide.number, revision=revision or version.revision)


@pytest.fixture
def pair(db: None) -> tuple[Lot, GuideVersion]:
    return packed(name="RW-091")


@pytest.fixture
def other(db: None) -> tuple[Lot, GuideVersion]:
    return packed(name="OM-084")


def next_revision(version: GuideVersion) -> GuideVersion:
    return published(open_next(version.guide, by=UserFactory(role="roaster")))


def answer(first: Code, second: Code, by: User) -> CheckAnswer:
    return lot_check.check(first, second, by=by).answer


def test_same_and_wrong(pair, other, packer: User) -> None:
    """Three lots of one guide and a fourth of another: SAME exactly on the diagonal, in either order."""
    lot, version = pair
    twins = [lot, packed(version)[0], packed(version)[0]]
    for one, two in product(twins, twins):
        expected = CheckAnswer.SAME if one == two else CheckAnswer.WRONG
        assert answer(bag(one), insert(two, version), packer) == expected
        assert answer(insert(two, version), bag(one), packer) == expected
    assert answer(bag(lot), insert(*other), packer) == CheckAnswer.WRONG


def test_what_is_no_code_of_ours(pair, packer: User) -> None:
    lot, version = pair
    assert answer(Code("milk"), insert(lot, version), packer) == CheckAnswer.UNKNOWN
    assert answer(bag(lot), Code("milk"), packer) == CheckAnswer.UNKNOWN


def test_a_recalled_lot_comes_before_everything_else(pair, other, packer: User, publisher: User) -> None:
    lot, version = pair
    recall.recall(lot, by=publisher, reason="A screw may be in the coffee.")
    lot.refresh_from_db()
    for first, second in (
        (bag(lot), insert(lot, version)),
        (bag(lot), insert(*other)),
        (bag(other[0]), insert(lot, version)),
        (bag(lot), Code("milk")),
        (bag(lot), bag(lot)),
    ):
        assert answer(first, second, packer) == CheckAnswer.RECALLED


def test_two_bags_or_two_inserts_are_no_pair(pair, packer: User) -> None:
    lot, version = pair
    assert answer(bag(lot), bag(lot), packer) == CheckAnswer.NO_PAIR
    assert answer(insert(lot, version), insert(lot, version), packer) == CheckAnswer.NO_PAIR


def test_typed_codes_say_nothing_of_what_they_stood_on(pair, packer: User) -> None:
    assert answer(Code("RW-091", pair[0]), Code("RW-091", pair[0]), packer) == CheckAnswer.SAME


def test_an_insert_of_an_older_revision(pair, packer: User) -> None:
    lot, first = pair
    second = next_revision(first)
    assert answer(bag(lot), insert(lot, first), packer) == CheckAnswer.OLD
    assert answer(bag(lot), insert(lot, second), packer) == CheckAnswer.SAME


@pytest.mark.parametrize(("days", "expected"), [(-1, CheckAnswer.SAME), (0, CheckAnswer.SAME), (1, CheckAnswer.OLD)])
def test_left_over_inserts_may_be_used_until_their_day(pair, packer: User, days: int, expected: CheckAnswer) -> None:
    lot, first = pair
    run: PackingRun = PackingRunFactory(bag=pair, state="ready", file="runs/ab/abc.pdf")
    until = TODAY + datetime.timedelta(days=7)
    count.count(run, count.Counts(46, 0, 6, 40), by=packer, leftovers="use", use_until=until)
    next_revision(first)
    verdict = lot_check.check(bag(lot), insert(lot, first), by=packer, today=until + datetime.timedelta(days=days))
    assert (verdict.answer, verdict.until) == (expected, until)


def test_a_revision_the_lot_does_not_show(pair, packer: User) -> None:
    lot, first = pair
    second = next_revision(first)
    assign.assign(lot, first.guide, by=UserFactory(role="roaster"), pinned=first)
    assert answer(bag(lot), insert(lot, second), packer) == CheckAnswer.REVISION
    assert answer(bag(lot), insert(lot, first, revision=9), packer) == CheckAnswer.REVISION
    assert answer(bag(lot), insert(lot, first), packer) == CheckAnswer.SAME


def test_a_guide_the_lot_does_not_show(pair, other, packer: User, publisher: User) -> None:
    lot, version = pair
    assert answer(bag(lot), insert(lot, other[1]), packer) == CheckAnswer.GUIDE
    withdraw.withdraw(version, by=publisher, reason="Drains too slowly.")
    assert answer(bag(lot), insert(lot, version), packer) == CheckAnswer.GUIDE
    lot.assignments.update(follow=Follow.HELD, held_reason="Drains late.")
    assert answer(bag(lot), insert(lot, version), packer) == CheckAnswer.GUIDE


def test_every_answer_is_kept_with_who_when_and_what(pair, packer: User) -> None:
    lot, version = pair
    lot_check.check(bag(lot), insert(lot, version), by=packer, means=CheckMeans.PHOTO)
    lot_check.check(Code("x" * 5000), insert(lot, version), by=packer)
    good, bad = LotCheck.objects.order_by("pk")
    assert (good.by, good.bag, good.insert, good.answer, good.means) == (packer, lot, lot, "same", "photo")
    assert timezone.now() - good.at < datetime.timedelta(minutes=1)
    assert (good.bag_text, good.insert_text) == ("L/RW-091", "L/RW-091/x")
    assert (bad.bag, bad.answer, len(bad.bag_text)) == (None, "unknown", 300)


@pytest.mark.parametrize("role", ["reader", "shop"])
def test_others_do_not_check(pair, role: str) -> None:
    with refused("may not check bags and inserts"):
        lot_check.check(bag(pair[0]), insert(*pair), by=UserFactory(role=role))
    assert not LotCheck.objects.exists()


def test_negative_control_without_the_comparison_a_wrong_pair_passes(pair, other, packer: User, monkeypatch) -> None:
    monkeypatch.setattr(Lot, "pk", 1)
    monkeypatch.setattr(lot_check, "_of_revision", lambda b, i, _today: lot_check.Verdict(CheckAnswer.SAME, b, i))
    assert lot_check.judge(bag(pair[0]), insert(*other), TODAY).answer == CheckAnswer.SAME
