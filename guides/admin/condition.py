"""How the site is: a page for whoever keeps it, and what of it belongs on the desk's start."""

from __future__ import annotations

from django.contrib import admin, messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from guides.jobs import due
from guides.models import User
from guides.presenters.site_condition import Finding, Level, findings
from guides.queries import backups, condition

from .acts import current_user

_SHOWN = 10


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Show every finding and the backups; a post asks the worker for a backup now."""
    user = current_user(request)
    if not user.has_perm("guides.view_roastery"):
        raise PermissionDenied
    if request.method == "POST":
        return _back_up(request, user)
    context = {
        **admin.site.each_context(request),
        "title": _("How the site is"),
        "findings": findings(condition.now(), get_language() or "en"),
        "backups": backups.newest_first()[:_SHOWN],
        "may_back_up": _keeps_it(user),
    }
    return TemplateResponse(request, "guides/admin/condition.html", context)


def alarms(user: User) -> list[Finding]:
    """Give what is wrong with the site, for those who keep it."""
    if not _keeps_it(user):
        return []
    return [line for line in findings(condition.now(), get_language() or "en") if line.level is Level.WRONG]


def _keeps_it(user: User) -> bool:
    return user.has_perm("guides.change_roastery")


def _back_up(request: HttpRequest, user: User) -> HttpResponse:
    if not _keeps_it(user):
        raise PermissionDenied
    if due.start_backup() is None:
        messages.info(request, _("A backup is being made already, or one failed within the hour: see the jobs."))
    else:
        messages.success(request, _("The worker makes a backup now."))
    return HttpResponseRedirect(reverse("admin:condition"))
