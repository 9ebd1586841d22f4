"""Read-only once it has left its writer's hands, with the reason said on the page; and the history of every act."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from guides.choices import State
from guides.models import Event, GuideVersion
from guides.presenters.numbers import Figures


def locked_reason(version: GuideVersion | None) -> str:
    """Say why a version cannot be edited, and what to do instead; empty for a draft."""
    if version is None or version.state == State.DRAFT:
        return ""
    if version.state == State.IN_REVIEW:
        return _(
            "In review since %(day)s, submitted by %(who)s: nobody changes it under the reviewer's hands. "
            "Return it to go on writing."
        ) % {"day": _day(version.submitted_at), "who": _who(version.submitted_by)}
    published = _("Published as revision %(revision)s on %(day)s by %(who)s; printed on bags, so it stays.") % {
        "revision": version.revision,
        "day": _day(version.published_at),
        "who": _who(version.published_by),
    }
    if version.state == State.WITHDRAWN:
        published += " " + _("Withdrawn on %(day)s by %(who)s: %(reason)s") % {
            "day": _day(version.withdrawn_at),
            "who": _who(version.withdrawn_by),
            "reason": version.withdrawn_reason,
        }
    return f"{published} " + _("To change anything, open the next draft.")


def _day(moment: Any) -> str:
    return Figures(get_language() or "en").date(timezone.localdate(moment))


def _who(user: Any) -> str:
    return str(user.display_name)


class LockedOnceSubmitted(admin.options.BaseModelAdmin):
    """For a version and for what belongs to it; ``obj`` is the version in both cases."""

    def has_add_permission(self, request: HttpRequest, obj: GuideVersion | None = None) -> bool:
        return super().has_add_permission(request, *self._owner(obj)) and not locked_reason(obj)

    def has_change_permission(self, request: HttpRequest, obj: GuideVersion | None = None) -> bool:
        return super().has_change_permission(request, obj) and not locked_reason(obj)

    def has_delete_permission(self, request: HttpRequest, obj: GuideVersion | None = None) -> bool:
        return super().has_delete_permission(request, obj) and not locked_reason(obj)

    def _owner(self, obj: GuideVersion | None) -> tuple[Any, ...]:
        # Inlines are told the owner, the page itself is not.
        return (obj,) if isinstance(self, admin.options.InlineModelAdmin) else ()


class ActHistory(admin.ModelAdmin):
    """Puts the audit trail of an object above the log of its saves."""

    object_history_template = "guides/admin/history.html"

    def events_of(self, obj: Model) -> QuerySet[Event]:
        raise NotImplementedError

    def history_view(
        self, request: HttpRequest, object_id: str, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        obj = self.get_object(request, object_id)
        events = self.events_of(obj).select_related("by", "guide", "lot") if obj else ()
        return super().history_view(request, object_id, {**(extra_context or {}), "events": events})
