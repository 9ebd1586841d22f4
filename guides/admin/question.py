"""Customers' questions: a queue to answer from, open ones first."""

from __future__ import annotations

from typing import Any

from django.contrib import admin, messages
from django.db.models import Case, Count, Model, QuerySet, Value, When
from django.http import HttpRequest
from django.urls import reverse
from django.utils.text import Truncator
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from guides.choices import FROZEN_STATES, QuestionState
from guides.lifecycle.questions import note
from guides.models import Event, GuideVersion, Question
from guides.queries import answers, versions

from .acts import Act, ActsAdmin, current_user
from .desk import Desk, ReadOnly
from .mixins import ActHistory
from .question_acts import AT_ONCE, QUESTION_ACTS, AnswerForm, place_label

_OPEN_FIRST = Case(When(state=QuestionState.OPEN, then=Value(0)), default=Value(1))


@admin.register(Question)
class QuestionAdmin(ReadOnly, ActHistory, ActsAdmin, Desk):
    acts = QUESTION_ACTS
    change_form_template = "guides/admin/question.html"
    list_display = ("words", "asked_about", "language", "askers", "state", "asked_at")
    list_filter = ("state", "language", "version__guide__coffee")
    list_select_related = ("version__guide",)
    search_fields = ("text", "shown", "answer", "version__title")
    ordering = (_OPEN_FIRST, "asked_at")
    fields = ("text",)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Question]:
        joined = super().get_queryset(request).select_related("version__guide__coffee", "lot", "answered_by")
        return joined.annotate(askers=Count("merged") + 1)

    @admin.display(description=_("question"))
    def words(self, question: Question) -> str:
        return Truncator(question.text).words(16)

    @admin.display(description=_("asked about"), ordering="version")
    def asked_about(self, question: Question) -> str:
        return f"{question.version}, {place_label(question)}"

    @admin.display(description=_("people"), ordering="askers")
    def askers(self, question: Any) -> int:
        return int(question.askers)

    def events_of(self, obj: Model) -> QuerySet[Event]:
        return Event.objects.filter(details__question=obj.pk)

    def after(self, request: HttpRequest, act: Act, result: Model) -> str:
        """Go on with the queue; from a note, to the draft it is in."""
        if act.name == "reopen":
            return self.change_address(result)
        if act.name != "note":
            return reverse("admin:guides_question_changelist")
        length = len(request.POST.get("why", "").split())
        if length > note.FEW_WORDS:
            text = ngettext("It is %(n)d word long", "It is %(n)d words long", length) % {"n": length}
            self.message_user(request, f"{text}. {_('40 at most read best with wet hands.')}", messages.WARNING)
        return self.change_address(result)

    def about(self, request: HttpRequest, obj: Question) -> dict[str, Any]:
        offered = {act.name: act for act in self.offered(request, obj)}
        answering = offered.pop("answer", None)
        return {
            "place": place_label(obj),
            "step": _step(obj.version, obj.step),
            "shown_now": _shown_now(obj),
            "page": reverse("guide", kwargs={"slug": obj.version.guide.slug}),
            "merged": obj.merged.order_by("asked_at"),
            "answering": answering and self.act_address(obj, answering),
            "form": AnswerForm(None, obj=obj, by=current_user(request)) if answering else None,
            # Answering has a form of its own here, and what needs no further word is one press.
            "acts": [(act, self.act_address(obj, act), act.name in AT_ONCE) for act in offered.values()],
        }


def _step(version: GuideVersion, place: int | None) -> Any:
    """The step it was asked at, as its reader had it."""
    return version.steps.all()[place - 1] if place else None


def _shown_now(question: Question) -> str:
    """Where customers read the answer."""
    if question.state != QuestionState.ANSWERED:
        return ""
    newest = versions.current(question.version.guide)
    if newest is None or newest.state not in FROZEN_STATES:
        return gettext("The guide is withdrawn; nobody is shown the answer.")
    if question.step is None:
        return gettext("Customers read the answer below the guide.")
    place = answers.place_in(newest, question)
    if place is None:
        return gettext(
            "Revision %(revision)s has another step there: the answer shows only on the revisions before."
        ) % {"revision": newest.revision}
    return _("Customers read the answer beside step %(number)s.") % {"number": place}
