"""Turns an answer into the why of its step, in the guide's open draft: the next customer need not ask."""

from __future__ import annotations

from typing import Final

from django.db import transaction
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import State, Verb
from guides.lifecycle import draft as drafts
from guides.lifecycle import roles, writers
from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import Guide, GuideVersion, Question, Step, User
from guides.queries import answers, versions

from . import moves, words

FEW_WORDS: Final = 40
"""A why-note is read with wet hands; more words than these are a caution."""


def into_why(question: Question, *, by: User, why: str, replace: bool = False) -> GuideVersion:
    """Write a why-note into the open draft, which is opened if there is none.

    Args:
        question: an answered one.
        by: who writes.
        why: the note, in the language the draft is written in.
        replace: put it in the place of a why that is there.

    Returns:
        The draft.

    Raises:
        Refused: not allowed, no words or too many for the field, a draft in review, a step that is another one now, or
            a why that is there and was not to be replaced.
    """
    why = words.tidy(why)
    with transaction.atomic():
        fresh = moves.begin(question, Verb.NOTED, _("turn answers into notes"), by=by)
        Guide.objects.select_for_update().get(pk=fresh.version.guide_id)
        refuse_if(roles.refusals(by, ["guides.change_guideversion"], _("write guides")))
        draft = versions.open_draft(fresh.version.guide)
        if draft is not None and draft.state == State.IN_REVIEW:
            refuse_if([Refusal(_("The draft is in review; nobody changes it now. Return it to its writer first."))])
        draft = draft or drafts.open_next(fresh.version.guide, by=by)
        place = step_in(draft, fresh)
        row = draft if place is None else list(draft.steps.all())[place - 1]
        refuse_if(_refusals(fresh, row, place, why, replace=replace))
        row.why = why
        row.save(update_fields=["why"])
        # Whoever has the draft open is told before their save.
        draft.edit_number += 1
        draft.save(update_fields=["edit_number"])
        writers.record_edit(draft, by=by)
        moves.record(Verb.NOTED, fresh, by=by)
    return draft


def step_in(draft: GuideVersion, question: Question) -> int | None:
    """Give the place of the question's step in a draft: the same step, or one with the same act in the same place."""
    same = answers.place_in(draft, question)
    if same is not None or question.step is None:
        return same
    steps = list(draft.steps.all())
    act = question.step_numbers.split(" ")[0]
    in_place = question.step <= len(steps) and steps[question.step - 1].action == act
    return question.step if in_place else None


def _refusals(
    question: Question, row: GuideVersion | Step, place: int | None, why: str, *, replace: bool
) -> list[Refusal]:
    if place is None and question.step is not None:
        text = _("Step {step} of the draft is another one now. Write the note where it belongs by hand.")
        return [Refusal(format_lazy(text, step=question.step))]
    longest = row._meta.get_field("why").max_length or 0
    found = words.refusals(why, "why", longest, _("Why: write the note first."))
    if row.why and not replace and row.why != why:
        text = _("There is a why already: “{why}” Tick this to put yours in its place.")
        found.append(Refusal(format_lazy(text, why=row.why), field="replace"))
    return found
