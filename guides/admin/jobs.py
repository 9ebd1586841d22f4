"""Background work: to look at, and to start again where it failed."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.choices import JobState
from guides.jobs import tasks
from guides.models import JobRun, User

from . import job_words
from .acts import Act, ActsAdmin
from .desk import Desk, ReadOnly


def _again(run: JobRun, _by: User, _data: dict[str, Any]) -> JobRun:
    return tasks.again(run)


AGAIN = Act(
    name="again",
    label=_("Start it again"),
    explain=_("It waits for a worker, as if it had just been asked for. What it made already is kept."),
    done=_("It waits for a worker."),
    may=lambda user, _run: user.has_perms(("guides.view_jobrun", "guides.print_lot")),
    fits=lambda run: run.state == JobState.FAILED,
    run=_again,
)


@admin.register(JobRun)
class JobRunAdmin(ReadOnly, ActsAdmin, Desk):
    acts = (AGAIN,)
    change_form_template = "guides/admin/guide_form.html"
    list_display = ("work", "state", "created_at", "done", "total", "attempts", "finished_at")
    list_filter = ("state", "kind")
    search_fields = ("kind", "error")
    fields = (
        "work",
        "state",
        ("created_at", "finished_at"),
        ("done", "total", "attempts"),
        ("heartbeat_at", "lease_until", "cancel_wanted"),
        "arguments",
        "result",
        "error",
    )
    readonly_fields = ("work",)

    @admin.display(description=_("work"), ordering="kind")
    def work(self, run: JobRun) -> str | Promise:
        return job_words.name_of(run)
