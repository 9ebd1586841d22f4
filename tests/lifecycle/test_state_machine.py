"""Anybody does anything to a guide in any order: what happens is the table's, and what is printed stays."""

from __future__ import annotations

import os
from typing import Any

import pytest
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
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.publish import publish
from guides.lifecycle.review import send_back, submit
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
    "publish": ("in_review", "published", {"publisher"}),
    "withdraw": ("published", "withdrawn", {"publisher"}),
}


class GuideLife(RuleBasedStateMachine):
    """Keeps its own account of every version and compares after each step."""

    @initialize()
    def begin(self) -> None:
        self.staff = {name: UserFactory(role=name) for name in ("roaster", "publisher", "packer", "reader")}
        first = GuideVersionFactory(created_by=self.staff["roaster"])
        self.guide = first.guide
        self.states = {first.pk: "draft"}
        self.checked: set[int] = set()
        self.revisions: list[int] = []
        self.printed: dict[int, Any] = {}
        self.events = 0

    def pick(self, data: st.DataObject) -> GuideVersion:
        return GuideVersion.objects.get(pk=data.draw(st.sampled_from(sorted(self.states)), label="version"))

    def tried(self, name: str, role: str, version: GuideVersion, **words: str) -> bool:
        """Try a move; say whether it happened, which must be what the account says."""
        source, target, allowed = MOVES[name]
        act = {"submit": submit, "send_back": send_back, "publish": publish, "withdraw": withdraw}[name]
        may = role in allowed and self.states[version.pk] == source
        if name == "publish":
            may = may and (version.pk in self.checked or bool(words["waiver_reason"]))
        try:
            act(version, by=self.staff[role], **words)
        except Refused:
            assert not may, f"{name} by {role} was refused"
            return False
        assert may, f"{name} by {role} was let through"
        self.states[version.pk] = target
        self.events += 1 + (name == "publish" and bool(words["waiver_reason"]))
        return True

    @rule(role=ROLES, data=st.data())
    def submits(self, role: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("submit", role, version):
            self.checked.discard(version.pk)

    @rule(role=ROLES, data=st.data())
    def sends_back(self, role: str, data: st.DataObject) -> None:
        version = self.pick(data)
        if self.tried("send_back", role, version, reason="Cooler, please."):
            self.checked.discard(version.pk)

    @rule(data=st.data())
    def brews_from_it(self, data: st.DataObject) -> None:
        version = self.pick(data)
        TrialBrewFactory(of=version, check=True, brewed_by=self.staff["packer"])
        if self.states[version.pk] == "in_review":
            self.checked.add(version.pk)

    @rule(role=ROLES, waiver=st.sampled_from(["", "Brewed it at the bench."]), data=st.data())
    def publishes(self, role: str, waiver: str, data: st.DataObject) -> None:
        version = self.pick(data)
        by_its_submitter = version.submitted_by_id == self.staff[role].pk
        if by_its_submitter and not waiver:
            with pytest.raises(Refused):
                publish(version, by=self.staff[role])
        elif self.tried("publish", role, version, waiver_reason=waiver):
            self.revisions.append(GuideVersion.objects.get(pk=version.pk).revision)
            self.printed[version.pk] = self.content(version.pk)

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
