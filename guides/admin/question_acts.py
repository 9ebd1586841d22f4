"""What staff do with a customer's question."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.db.models import QuerySet
from django.utils.text import Truncator
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.lifecycle.questions import answer, merge, moves, note, remove, sort
from guides.models import GuideVersion, Question, User
from guides.queries import house, versions

from .acts import Act, ActForm


class AnswerForm(ActForm):
    shown = forms.CharField(
        label=_("Question as customers read it"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Their own words, or fewer. Leave out names and anything that tells who asked."),
    )
    answer = forms.CharField(
        label=_("Answer"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_("A few sentences: what, because, you'd notice. Customers read it beside the step at once."),
    )
    language = forms.ChoiceField(label=_("Answered in"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        asked: Question = self.obj
        self.fields["shown"].initial = asked.shown or asked.text
        self.fields["answer"].initial = asked.answer
        names, offered = dict(settings.LANGUAGES), dict.fromkeys([asked.language, *house.current().languages])
        self.fields["language"].choices = [(code, names[code]) for code in offered]  # type: ignore[attr-defined]
        self.fields["language"].initial = asked.answer_language or asked.language


class OtherQuestion(forms.ModelChoiceField):
    def label_from_instance(self, obj: Question) -> str:
        return f"{obj.pk} · {place_label(obj)} · “{Truncator(obj.shown or obj.text).chars(90)}”"


class MergeForm(ActForm):
    into = OtherQuestion(
        Question.objects.none(),
        label=_("Same as"),
        required=False,
        help_text=_("Its answer serves both, and the page says how many asked."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"].queryset = others(self.obj)  # type: ignore[attr-defined]


class NoteForm(ActForm):
    why = forms.CharField(label=_("Why"), required=False, strip=False, widget=forms.Textarea(attrs={"rows": 4}))
    replace = forms.BooleanField(label=_("Put it in the place of the why that is there"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        guide = self.obj.version.guide
        written = versions.open_draft(guide) or versions.current(guide) or self.obj.version
        language = dict(settings.LANGUAGES)[written.language]
        self.fields["why"].help_text = _(
            "In %(language)s: what, because, you'd notice. 40 words at most read best."
        ) % {"language": language}
        if self.obj.answer_language == written.language:
            self.fields["why"].initial = self.obj.answer


def place_label(question: Question) -> str:
    """Where it was asked, in two words."""
    if question.step is None:
        return str(_("whole guide"))
    return str(_("step %(number)s") % {"number": question.step})


def others(question: Question) -> QuerySet[Question]:
    """Questions of the same guide that it may be merged into, those of the same step first."""
    same_guide = Question.objects.filter(
        version__guide=question.version.guide_id, state__in=moves.SOURCES[Verb.MERGED]
    ).exclude(pk=question.pk)
    return same_guide.order_by("state", "step", "asked_at")


def _may(user: User, _question: Question) -> bool:
    return any(user.has_perm(permission) for permission in moves.PERMISSIONS)


def _may_note(user: User, question: Question) -> bool:
    return _may(user, question) and user.has_perm("guides.change_guideversion")


def _act(verb: Verb, **rest: Any) -> Act:
    rest = {"may": _may, "fits": lambda question: question.state in moves.SOURCES[verb], **rest}
    return Act(**rest)


def _answer(question: Question, by: User, data: dict[str, Any]) -> Question:
    return answer.answer(question, by=by, **data)


def _merge(question: Question, by: User, data: dict[str, Any]) -> Question:
    return merge.merge(question, data["into"] or question, by=by)


def _note(question: Question, by: User, data: dict[str, Any]) -> GuideVersion:
    return note.into_why(question, by=by, why=data["why"], replace=data["replace"])


def _remove(question: Question, by: User, _data: dict[str, Any]) -> GuideVersion:
    remove.remove(question, by=by)
    return question.version


QUESTION_ACTS = (
    _act(
        Verb.ANSWERED,
        name="answer",
        label=_("Answer"),
        explain=_("Customers read question and answer beside the step, on every revision whose step is the same."),
        done=_("Answered; customers read it now."),
        run=_answer,
        form=AnswerForm,
    ),
    _act(
        Verb.NOTED,
        name="note",
        label=_("Turn into a why-note"),
        explain=_(
            "It becomes the why of the step in the guide's open draft; if no draft is open, the next one is opened. "
            "Shorten it: the answer itself stays where it is."
        ),
        done=_("The why is in the draft, %(object)s."),
        may=_may_note,
        run=_note,
        form=NoteForm,
    ),
    _act(
        Verb.MERGED,
        name="merge",
        label=_("Same as another"),
        explain=_("Somebody asked this already: one answer serves both, and the page says how many asked."),
        done=_("Merged."),
        fits=lambda question: question.state in moves.SOURCES[Verb.MERGED] and others(question).exists(),
        run=_merge,
        form=MergeForm,
    ),
    _act(
        Verb.KEPT_PRIVATE,
        name="keep-private",
        label=_("Keep private"),
        explain=_("Customers see nothing of it. An answer it has is kept for staff."),
        done=_("Kept private; customers see nothing of it."),
        run=lambda question, by, _data: sort.keep_private(question, by=by),
    ),
    _act(
        Verb.MARKED_SPAM,
        name="spam",
        label=_("Spam"),
        explain=_("Customers see nothing of it, and it leaves the queue."),
        done=_("Marked as spam."),
        run=lambda question, by, _data: sort.mark_spam(question, by=by),
    ),
    _act(
        Verb.REOPENED,
        name="reopen",
        label=_("Reopen"),
        explain=_("It goes back among the open questions, on its own."),
        done=_("It is open again."),
        run=lambda question, by, _data: sort.reopen(question, by=by),
    ),
    _act(
        Verb.DELETED,
        name="delete",
        label=_("Delete for good"),
        explain=_(
            "The question and its answer are gone from the site and from every backup made from now on; earlier "
            "backups hold them still. If others asked the same, the oldest of them takes its place. This cannot be "
            "taken back."
        ),
        done=_("The question is deleted."),
        run=_remove,
        danger=True,
    ),
)
# One press is enough for these: they can be taken back.
AT_ONCE = frozenset({"keep-private", "spam", "reopen"})
