"""Anybody does anything to a guide in any order: what happens is the table's, and what is printed stays."""

from __future__ import annotations

import datetime
import os
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from guides.lifecycle import canonical
from guides.lifecycle.approve import approve
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.publish import publish
from guides.lifecycle.review import send_back, submit
from guides.lifecycle.schedule import call_off, publish_due, schedule
from guides.lifecycle.withdraw import withdraw
from guides.models import Event, GuideVersion, Step
from guides.models.base import FrozenRow
from tests.factories import GuideVersionFactory, TrialBrewFactory, UserFactory

EXAMPLES = 200 if os.environ.get("FULL_COUNTS") == "1" else 10
ROLES = st.sampled_from(["roaster", "publisher", "packer", "reader"])
# Written out here, not read from the product: the state before → the state after, and who may.
MOVES = {
    "submit": ("draft", "in_review", {"roaster", "publisher"}),
    "send_back": ("in_review", "draft", {"roaster", "publisher"}),
    "approve": ("in_review", "in_review", {"publisher"}),
    "schedule": ("in_review", "in_review", {"publisher"}),
    "call_off": ("in_review", "in_review", {"publisher"}),
    "publish": ("in_review", "published", {"publisher"}),
    "withdraw": ("published", "withdrawn", {"publisher"}),
}
ACTS = {
    "submit": submit,
    "send_back": send_back,
    "approve": approve,
    "schedule": schedule,
    "call_off": call_off,
    "publish": publish,
    "withdraw": withdraw,
}
WAIVERS = st.sampled_from(["", "Brewed it at the bench."])
MINUTE = datetime.timedelta(minutes=1)


class GuideLife(RuleBasedStateMachine):
    """Keeps its own account of every version and compares after each step."""

    @initialize()
    def begin(self) -> None:
        self.staff = {name: UserFactory(role=name) for name in ("roaster", "publisher", "packer", "reader")}
        first = GuideVersionFactory(created_by=self.staff["roaster"])
        self.guide = first.guide
        self.states = {first.pk: "draft"}
        self.checked: set[int] = set()
        self.approved: set[int] = set()
        self.set_for: dict[int, datetime.datetime] = {}
        self.revisions: list[int] = []
        self.printed: dict[int, Any] = {}
        self.events = 0

    def pick(self, data: st.DataObject) -> GuideVersion:
        return GuideVersion.objects.get(pk=data.draw(st.sampled_from(sorted(self.states)), label="version"))

    def tried(self, name: str, role: str, version: GuideVersion, **words: Any) -> bool:
        """Try a move; say whether it happened, which must be what the account says."""
        pk, (source, target, allowed) = version.pk, MOVES[name]
        waived = bool(words.get("waiver_reason")) and pk not in self.approved
        may = role in allowed and self.states[pk] == source
        if name in ("approve", "publish"):
            may = may and (pk in self.approved or waived or self.seen_by_others(version, role))
        if name == "approve":
            may = may and pk not in self.approved
        if name in ("schedule", "call_off"):
            may = may and pk in (self.approved if name == "schedule" else self.set_for)
        try:
            ACTS[name](version, by=self.staff[role], **words)
        except Refused:
            assert not may, f"{name} by {role} was refused"
            return False
        assert may, f"{name} by {role} was let through"
        self.states[pk] = target
        self.events += 1 + (name in ("approve", "publish") and waived)
        return True

    def seen_by_others(self, version: GuideVersion, role: str) -> bool:
        wrote = {version.created_by_id, version.submitted_by_id}
        return version.pk in self.checked and self.staff[role].pk not in wrote

    def leaves_review(self, pk: int) -> None:
        self.checked.discard(pk)
        self.approved.discard(pk)
        self.set_for.pop(pk, None)

    def is_printed(self, pk: int) -> None:
        self.leaves_review(pk)
        self.revisions.append(GuideVersion.objects.get(pk=pk).revision)
        self.printed[pk] = self.content(pk)

    @rule(role=ROLES, data=st.data())
    def submits(self, role: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("submit", role, version):
            self.leaves_review(version.pk)

    @rule(role=ROLES, data=st.data())
    def sends_back(self, role: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("send_back", role, version, reason="Cooler, please."):
            self.leaves_review(version.pk)

    @rule(data=st.data())
    def brews_from_it(self, data: st.DataObject) -> None:
        version = self.pick(data)
        TrialBrewFactory(of=version, check=True, brewed_by=self.staff["packer"])
        if self.states[version.pk] == "in_review":
            self.checked.add(version.pk)

    @rule(role=ROLES, waiver=WAIVERS, data=st.data())
    def approves(self, role: str, waiver: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("approve", role, version, waiver_reason=waiver):
            self.approved.add(version.pk)

    @rule(role=ROLES, data=st.data())
    def sets_a_time(self, role: str, data: st.DataObject) -> None:
        version, now = self.pick(data), timezone.now()
        if self.tried("schedule", role, version, publish_at=now - MINUTE, at=now - 2 * MINUTE):
            self.set_for[version.pk] = now - MINUTE

    @rule(role=ROLES, data=st.data())
    def calls_off(self, role: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("call_off", role, version, reason="The bags are late."):
            del self.set_for[version.pk]

    @rule(data=st.data())
    def the_time_comes(self, data: st.DataObject) -> None:
        pk = self.pick(data).pk
        was_set = pk in self.set_for
        assert publish_due(pk, self.set_for.get(pk, timezone.now())) is was_set
        if was_set:
            self.states[pk] = "published"
            self.events += 1
            self.is_printed(pk)

    @rule(role=ROLES, waiver=WAIVERS, data=st.data())
    def publishes(self, role: str, waiver: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("publish", role, version, waiver_reason=waiver):
            self.is_printed(version.pk)

    @rule(role=ROLES, data=st.data())
    def withdraws(self, role: str, data: st.DataObject) -> None:
        self.tried("withdraw", role, self.pick(data), reason="The valve leaks.")

    @rule(role=ROLES)
    def opens_the_next(self, role: str) -> None:
        may = role in ("roaster", "publisher") and not {"draft", "in_review"} & set(self.states.values())
        try:
            version = open_next(self.guide, by=self.staff[role])
        except Refused:
            assert not may
            return
        assert may
        self.states[version.pk] = "draft"
        self.events += 1

    @rule(data=st.data(), title=st.text(st.characters(categories=["L"]), min_size=1, max_size=20))
    def writes(self, data: st.DataObject, title: str) -> None:
        version = self.pick(data)
        before, version.title = version.title, title
        if self.states[version.pk] in ("draft", "in_review") or title == before:
            version.save()
        else:
            with pytest.raises(FrozenRow):
                version.save()

    @precondition(lambda self: self.printed)
    @rule(data=st.data())
    def tampers(self, data: st.DataObject) -> None:
        step = Step.objects.filter(version=data.draw(st.sampled_from(sorted(self.printed)))).first()
        step.target_g = 999
        with pytest.raises(FrozenRow):
            step.save()

    def content(self, pk: int) -> object:
        row = GuideVersion.objects.filter(pk=pk).values().get()
        life = GuideVersion.CHANGES_WHEN_PUBLISHED | {"withdrawn_by_id", "replacement_id"}
        return {k: v for k, v in row.items() if k not in life}, list(Step.objects.filter(version=pk).values())

    @invariant()
    def the_account_agrees(self) -> None:
        rows = GuideVersion.objects.filter(guide=self.guide)
        assert dict(rows.values_list("pk", "state")) == self.states
        assert sum(state in ("draft", "in_review") for state in self.states.values()) <= 1
        waiting = rows.filter(state="in_review")
        assert set(waiting.filter(approved_at__isnull=False).values_list("pk", flat=True)) == self.approved
        assert dict(rows.filter(publish_at__isnull=False).values_list("pk", "publish_at")) == self.set_for

    @invariant()
    def revisions_have_no_gaps(self) -> None:
        assert self.revisions == list(range(1, len(self.revisions) + 1))

    @invariant()
    def what_is_printed_stays(self) -> None:
        for pk, was in self.printed.items():
            assert self.content(pk) == was
            version = GuideVersion.objects.get(pk=pk)
            assert canonical.sha256(version.snapshot) == version.sha256

    @invariant()
    def every_act_is_on_record(self) -> None:
        assert Event.objects.filter(guide=self.guide).count() == self.events


def live(examples: int, **options: Any) -> None:
    run_state_machine_as_test(
        GuideLife,
        settings=settings(
            max_examples=examples,
            stateful_step_count=20,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            **options,
        ),
    )


@pytest.mark.django_db
def test_a_guides_life() -> None:
    live(EXAMPLES)
    print(f"{EXAMPLES} lives of up to 20 acts, 0 violations")


@pytest.mark.django_db
@pytest.mark.parametrize("guard", ["guides.lifecycle.moving.state_refusals", "guides.lifecycle.roles.refusals"])
def test_a_missing_guard_is_noticed(guard: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, lambda *_arguments: [])
    with pytest.raises(Exception, match=r"let through|CHECK|violates|FrozenRow|printed on bags"):
        live(30, phases=[Phase.generate], database=None, print_blob=False, report_multiple_bugs=False)
