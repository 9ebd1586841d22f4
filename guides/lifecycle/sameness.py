"""Whether a version says the same as one that was published: its numbers, and its words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.utils.translation import gettext as _

from guides.models import GuideVersion

from . import stored
from .plan_of import plan_of, targets_of
from .snapshot import Snapshot, Words, words_of


def moved_numbers(version: GuideVersion, kept: Snapshot) -> list[str]:
    """Name, for people, what a version's numbers do otherwise; empty if nothing.

    A brewer that has been weighed or renamed since is still the same brewer.
    """
    now: dict[str, Any] = {**stored.to_json(replace(plan_of(version), brewer=kept.plan.brewer)), "steps": ()}
    was: dict[str, Any] = {**stored.to_json(kept.plan), "steps": ()}
    found = [_named(name) for name in was if now[name] != was[name]]
    if version.server_ml != kept.server_ml:
        found.append(_named("server_ml"))
    if version.brewer.slug != kept.brewer.slug:
        found.append(_named("brewer"))
    if stored.to_json(targets_of(version)) != stored.to_json(kept.targets):
        found.append(_("what the cup should be"))
    return [*found, *_moved_steps(version, kept)]


def _moved_steps(version: GuideVersion, kept: Snapshot) -> list[str]:
    now, was = plan_of(version).steps, kept.plan.steps
    if len(now) != len(was):
        return [_("the number of steps")]
    pairs = enumerate(zip(now, was, strict=True), start=1)
    moved = (number for number, (one, other) in pairs if stored.to_json(one) != stored.to_json(other))
    return [_("step %(number)s") % {"number": number} for number in moved]


def _named(column: str) -> str:
    return str(GuideVersion._meta.get_field(column).verbose_name)  # type: ignore[union-attr]


def moved_words(version: GuideVersion, kept: Snapshot) -> list[str]:
    """Name the languages whose words differ; empty if none does."""
    now: dict[str, Words] = dict(words_of(version))
    return sorted(code for code in now.keys() | kept.words.keys() if now.get(code) != kept.words.get(code))
