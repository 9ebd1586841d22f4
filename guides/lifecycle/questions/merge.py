"""Says that two people asked the same: one answer serves both, and the page says how many asked."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import QuestionState, Verb
from guides.lifecycle import roles
from guides.lifecycle.errors import Refusal, refuse_if
from guides.models import Question, User

from . import moves


def merge(question: Question, into: Question, *, by: User) -> Question:
    """Merge a question into another of the same guide; what was merged into it before goes along.

    Raises:
        Refused: not allowed, the same question, another guide's, or one that is itself spam or merged.
    """
    refuse_if(roles.refusals(by, moves.PERMISSIONS, _("merge questions")))
    with transaction.atomic():
        moves.locked([question.pk, into.pk])
        fresh = moves.begin(question, Verb.MERGED, _("merge questions"), by=by)
        other = moves.locked([into.pk]).get(into.pk)
        refuse_if(_refusals(fresh, other))
        fresh.merged.update(merged_into=other)
        fresh.state, fresh.merged_into = QuestionState.MERGED, other
        fresh.save(update_fields=["state", "merged_into"])
        moves.record(Verb.MERGED, fresh, by=by, into=into.pk)
    return fresh


def _refusals(question: Question, other: Question | None) -> list[Refusal]:
    if other is None:
        return [Refusal(_("Same as: that question is not there any more."), field="into")]
    if other.pk == question.pk:
        return [Refusal(_("Same as: choose another question than this one."), field="into")]
    if other.version.guide_id != question.version.guide_id:
        return [Refusal(_("Same as: choose a question about the same guide."), field="into")]
    if other.state not in moves.SOURCES[Verb.MERGED]:
        return [Refusal(_("Same as: choose a question that is open, answered or kept private."), field="into")]
    return []
