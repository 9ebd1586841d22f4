"""What a customer asked about a guide or one of its steps, and what they are answered."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import QuestionState

from .base import Mutability, Record
from .guide_version import GuideVersion
from .lot import Lot

LONGEST = 500
LONGEST_ANSWER = 600


class Question(Record):
    """Nothing here says who asked. Customers read ``shown`` and ``answer``, never ``text``, and only once answered.

    ``step`` is the place of the step it was asked at, empty for the guide as a whole; ``step_numbers`` are that step's
    numbers at the time, as ``queries.answers.numbers_of`` writes them: the answer shows beside a step with the same.
    """

    mutability = Mutability.MUTABLE

    version = models.ForeignKey(GuideVersion, models.PROTECT, related_name="questions", verbose_name=_("guide"))
    step = models.PositiveSmallIntegerField(_("step"), null=True, blank=True)
    step_numbers = models.CharField(max_length=60, blank=True)
    lot = models.ForeignKey(
        Lot, models.PROTECT, null=True, blank=True, related_name="questions", verbose_name=_("from a bag of")
    )
    language = models.CharField(_("language"), max_length=8, choices=settings.LANGUAGES)
    text = models.TextField(_("question"), max_length=LONGEST, blank=True)  # the constraint says it better
    asked_at = models.DateTimeField(_("asked at"), default=timezone.now)

    state = models.CharField(_("state"), max_length=10, choices=QuestionState, default=QuestionState.OPEN)
    merged_into = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="merged", verbose_name=_("same as")
    )
    shown = models.TextField(_("question as customers read it"), max_length=LONGEST, blank=True)
    answer = models.TextField(_("answer"), max_length=LONGEST_ANSWER, blank=True)
    answer_language = models.CharField(_("answered in"), max_length=8, choices=settings.LANGUAGES, blank=True)
    answered_at = models.DateTimeField(_("answered at"), null=True, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+", verbose_name=_("answered by")
    )

    class Meta:
        verbose_name = _("question")
        verbose_name_plural = _("questions")
        permissions = [("answer_question", _("Can answer, merge and delete customers' questions"))]
        ordering = ["asked_at", "pk"]
        indexes = [models.Index(fields=["state", "asked_at"], name="question_state_asked")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(text=""), name="question_has_text", violation_error_message=_("Question: not empty.")
            ),
            models.CheckConstraint(
                condition=Q(step__isnull=True, step_numbers="") | Q(step__isnull=False, step__gte=1),
                name="question_step_from_one",
                violation_error_message=_("Step: 1 or more, or none."),
            ),
            models.CheckConstraint(
                condition=Q(state=QuestionState.MERGED, merged_into__isnull=False)
                | ~Q(state=QuestionState.MERGED) & Q(merged_into__isnull=True),
                name="question_merged_names_other",
                violation_error_message=_("Same as: named exactly where the state is merged."),
            ),
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                name="question_not_its_own",
                violation_error_message=_("Same as: another question."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True, answered_by__isnull=True, answer="", shown="", answer_language="")
                | Q(answered_at__isnull=False, answered_by__isnull=False)
                & ~Q(answer="")
                & ~Q(shown="")
                & ~Q(answer_language=""),
                name="question_answer_complete",
                violation_error_message=_("Answer: its words, its language, who and when stand together."),
            ),
            models.CheckConstraint(
                condition=~Q(state=QuestionState.ANSWERED) | Q(answered_at__isnull=False),
                name="question_answered_has_answer",
                violation_error_message=_("State: an answered question has an answer."),
            ),
        ]

    def __str__(self) -> str:
        """Name it without its words: this goes into logs and histories that outlive it."""
        return str(_("question %(number)s") % {"number": self.pk})
