"""Background work, to look at."""

from django.contrib import admin

from guides.models import JobRun

from .desk import Desk, ReadOnly


@admin.register(JobRun)
class JobRunAdmin(ReadOnly, Desk):
    list_display = ("kind", "state", "created_at", "done", "total", "attempts", "finished_at")
    list_filter = ("state", "kind")
    search_fields = ("kind", "error")
    fields = (
        "kind",
        "state",
        ("created_at", "finished_at"),
        ("done", "total", "attempts"),
        ("heartbeat_at", "lease_until", "cancel_wanted"),
        "arguments",
        "result",
        "error",
    )
