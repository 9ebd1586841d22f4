"""What background work is called at the desk."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.models import JobRun

NAMES: Final[dict[str, Promise]] = {
    "inserts_of_version": _("Make the inserts of a guide"),
    "publish_when_due": _("Publish a guide at the time set"),
    "packing_run": _("Make a packing run"),
    "send_webhook": _("Tell a webhook"),
    "try_webhook": _("Try a webhook out"),
    "backup": _("Make a backup"),
}


def name_of(run: JobRun) -> str | Promise:
    return NAMES.get(run.kind, run.kind)
