"""Programs at the door: tokens that let them in, and webhooks that tell them things. Secrets are shown once."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from guides.choices import Scope, Told
from guides.lifecycle import tokens, webhooks
from guides.lifecycle.errors import Refused
from guides.models import ApiToken, JobRun, User, Webhook
from guides.queries import deliveries

from .acts import Act, ActsAdmin, current_user
from .desk import Desk
from .forms import NamedFieldsForm


class ShownOnce(ActsAdmin, Desk):
    """Rows that are added with a secret: the page after adding shows it, and nothing does afterwards."""

    change_form_template = "guides/admin/guide_form.html"
    permission = ""

    def keep(self, obj: Any, by: User) -> str:
        """Add the row through the lifecycle and give its secret.

        Raises:
            Refused: it may not be added.
        """
        raise NotImplementedError

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        form = super().get_form(request, obj, change, **kwargs)
        return type(form.__name__, (form,), {"keep": self.keep, "by": current_user(request)})

    def has_add_permission(self, request: HttpRequest) -> bool:
        return request.user.has_perm(self.permission)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        """The form has kept it already, where a refusal still finds what was typed."""

    def response_add(self, request: HttpRequest, obj: Any, post_url_continue: str | None = None) -> HttpResponse:
        context = {
            **self.admin_site.each_context(request),
            "title": str(obj),
            "opts": self.opts,
            "original": obj,
            "secret": obj.shown_once,
            "back": self.change_address(obj),
        }
        response = TemplateResponse(request, "guides/admin/shown_once.html", context)
        response.headers["Cache-Control"] = "no-store"
        return response


class KeptForm(NamedFieldsForm):
    """Adds through the lifecycle while the form is checked, so that a refusal stands at its field."""

    keep: Any
    by: User

    def _post_clean(self) -> None:
        super()._post_clean()
        if self.errors or self.instance.pk:
            return
        try:
            self.instance.shown_once = type(self).keep(self.instance, self.by)
        except Refused as refused:
            self.say(refused)


class StillFilter(admin.SimpleListFilter):
    """Whether a row still counts."""

    title = _("in use")
    parameter_name = "still"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("yes", _("in use")), ("no", _("revoked or ended"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> QuerySet[Any]:
        column = "revoked_at" if queryset.model is ApiToken else "ended_at"
        wanted = {"yes": True, "no": False}.get(self.value() or "")
        return queryset if wanted is None else queryset.filter(**{f"{column}__isnull": wanted})


class TokenForm(KeptForm):
    scopes = forms.MultipleChoiceField(
        label=_("May"),
        choices=Scope.choices,
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=_("What is published, anybody may read without a token. Drafts are read by none."),
    )


class WebhookForm(KeptForm):
    about = forms.MultipleChoiceField(label=_("Told of"), choices=Told.choices, widget=forms.CheckboxSelectMultiple)


def _outcome(run: JobRun) -> str | Promise:
    """Whether a delivery was taken; of a test, that it is one."""
    if run.kind != "try_webhook":
        return run.get_state_display()
    if run.result is None:
        return _("test, on its way")
    return _("test, taken") if run.result["sent"] else _("test, not taken")


def _what_came(run: JobRun) -> str:
    return run.error or (run.result or {}).get("why", "")


@admin.register(ApiToken)
class ApiTokenAdmin(ShownOnce):
    form = TokenForm
    permission = "guides.manage_apitoken"
    list_display = ("name", "last_used_at", "may", "revoked_at", "created_by")
    list_filter = (StillFilter,)
    list_select_related = ("created_by",)
    search_fields = ("name",)
    acts = (
        Act(
            name="revoke",
            label=_("Revoke this token"),
            explain=_("Whoever uses it is shut out at once. This cannot be taken back; a new token can be issued."),
            done=_("%(object)s is revoked."),
            may=lambda user, _token: user.has_perm("guides.manage_apitoken"),
            fits=lambda token: not token.is_revoked,
            run=lambda token, by, _data: tokens.revoke(token, by=by),
            danger=True,
        ),
    )

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        told = ("name", "may", "start", "created_at", "created_by", "last_used_at", "revoked_at", "revoked_by")
        return told if obj else ("name", "scopes")

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return self.get_fields(request, obj) if obj else ()

    def keep(self, obj: ApiToken, by: User) -> str:
        return tokens.issue(obj, by=by)

    @admin.display(description=_("may"))
    def may(self, token: ApiToken) -> str:
        return token.said_scopes


@admin.register(Webhook)
class WebhookAdmin(ShownOnce):
    form = WebhookForm
    permission = "guides.manage_webhook"
    list_display = ("url", "told_of", "created_at", "created_by", "ended_at")
    list_filter = (StillFilter,)
    list_select_related = ("created_by",)
    search_fields = ("url",)
    acts = (
        Act(
            name="try",
            label=_("Send a test"),
            explain=_("One message of the type “test” is sent there now, signed like everything else."),
            done=_("A test is on its way to %(object)s. Load this page again to see whether it was taken."),
            may=lambda user, _webhook: user.has_perm("guides.manage_webhook"),
            fits=lambda webhook: not webhook.is_ended,
            run=lambda webhook, by, _data: webhooks.try_out(webhook, by=by),
        ),
        Act(
            name="end",
            label=_("End this webhook"),
            explain=_("Nothing is sent there any more; what waits to be sent is dropped."),
            done=_("Nothing is sent to %(object)s any more."),
            may=lambda user, _webhook: user.has_perm("guides.manage_webhook"),
            fits=lambda webhook: not webhook.is_ended,
            run=lambda webhook, by, _data: webhooks.end(webhook, by=by),
            danger=True,
        ),
    )

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        told = ("url", "told_of", "created_at", "created_by", "ended_at", "ended_by", "sent_lately")
        return told if obj else ("url", "about")

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return self.get_fields(request, obj) if obj else ()

    def keep(self, obj: Webhook, by: User) -> str:
        return webhooks.add(obj, by=by)

    @admin.display(description=_("told of"))
    def told_of(self, webhook: Webhook) -> str:
        return ", ".join(str(Told(name).label) for name in webhook.about)

    @admin.display(description=_("sent lately"))
    def sent_lately(self, webhook: Webhook) -> SafeString | str | Promise:
        rows = [
            (f"{timezone.localtime(run.created_at):%Y-%m-%d %H:%M}", _outcome(run), run.attempts, _what_came(run))
            for run in deliveries.latest(webhook)
        ]
        return format_html_join("", "<p>{} · {} ({}) {}</p>", rows) or _("nothing yet")
