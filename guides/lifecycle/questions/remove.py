"""Deletes a question for good: its row and every word of it. What stays is that somebody deleted number so-and-so."""

from __future__ import annotations

from django.db import connection, transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import QuestionState, Verb
from guides.models import Question, User

from . import moves


def remove(question: Question, *, by: User) -> None:
    """Delete a question. If others ask the same, the oldest of them takes its place and the answer.

    That one's own words were never meant for the page; so where the answer was shown, it is open again, its answer
    ready, until somebody lets it be seen.

    SQLite overwrites what is deleted (``roastery/sqlite.py``). PostgreSQL uses the room again in its own time; no
    dump of it holds the row any more. Backups made before hold it still.

    Raises:
        Refused: not allowed, or gone already.
    """
    with transaction.atomic():
        fresh = moves.begin(question, Verb.DELETED, _("delete questions"), by=by)
        heir = fresh.merged.order_by("asked_at", "pk").first()
        if heir is not None:
            _inherit(heir, fresh)
        moves.record(Verb.DELETED, fresh, by=by)
        fresh.delete()
        transaction.on_commit(_forget)


def _inherit(heir: Question, gone: Question) -> None:
    heir.state = QuestionState.OPEN if gone.state == QuestionState.ANSWERED else QuestionState(gone.state)
    heir.merged_into = None
    heir.answer, heir.answer_language = gone.answer, gone.answer_language
    heir.answered_at, heir.answered_by = gone.answered_at, gone.answered_by
    heir.shown = heir.text if gone.answer else ""  # what was shown may be the words that are to be gone
    heir.save()
    gone.merged.exclude(pk=heir.pk).update(merged_into=heir)


def _forget() -> None:
    """A write-ahead log keeps pages as they were until it is emptied."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
