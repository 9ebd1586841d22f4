"""Buttons that change a state: each has a page that says what it does and calls exactly one act of the lifecycle.

A page of its own loses nothing: on a draft the button saves the form first and then leads here; a refusal shows here
with what was typed, and each reason leads to the field or step it names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.lifecycle.errors import Refusal, Refused
from guides.models import User

from .choosing import Looks
from .row_page import RowPage

THEN = "_then"
_NOT_NOW = _("“%(act)s” does not fit where %(object)s stands now.")


def _nothing(_obj: Any) -> Iterable[str]:
    return ()


class ActForm(Looks, forms.Form):
    """An act that needs nothing but a decision; others add what the act asks for."""

    required_css_class = "required"

    def __init__(self, *args: Any, obj: Any, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.obj, self.by = obj, by


@dataclass(frozen=True)
class Act:
    """One button.

    ``run`` calls the lifecycle with the object, who, and the form's cleaned data, and gives the object to go on with.
    ``may`` says whether this person is allowed it at all, ``fits`` whether the object stands where it makes sense.
    ``danger`` marks what cannot be taken back; ``preview`` says, line by line, what it will reach.
    """

    name: str
    label: str | Promise
    explain: str | Promise
    done: str | Promise
    may: Callable[[User, Any], bool]
    fits: Callable[[Any], bool]
    run: Callable[[Any, User, dict[str, Any]], Model]
    form: type[ActForm] = ActForm
    danger: bool = False
    preview: Callable[[Any], Iterable[str]] = _nothing


@dataclass(frozen=True)
class Reason:
    """A refusal and where to mend it."""

    text: str
    address: str


class ActsAdmin(RowPage):
    """A model admin with acts."""

    acts: tuple[Act, ...] = ()

    def get_urls(self) -> list[URLPattern]:
        own = path("<path:object_id>/act/<slug:name>/", self.admin_site.admin_view(self.act_view), name=self._act_url())
        return [own, *super().get_urls()]

    def _act_url(self) -> str:
        return f"{self.opts.app_label}_{self.opts.model_name}_act"

    def offered(self, request: HttpRequest, obj: Model) -> list[Act]:
        """Acts that this person may do and that the object is ready for."""
        return [act for act in self.acts if act.fits(obj) and act.may(current_user(request), obj)]

    def act_address(self, obj: Model, act: Act) -> str:
        return reverse(f"admin:{self._act_url()}", args=[obj.pk, act.name])

    def change_address(self, obj: Model) -> str:
        return reverse(f"admin:{obj._meta.app_label}_{obj._meta.model_name}_change", args=[obj.pk])

    def beside(self, request: HttpRequest, obj: Any | None) -> dict[str, Any]:
        shown = super().beside(request, obj)
        if obj is None:
            return shown
        acts = [(act, self.act_address(obj, act)) for act in self.offered(request, obj)]
        return {**shown, "acts": acts, **self.about(request, obj)}

    def about(self, request: HttpRequest, obj: Any) -> dict[str, Any]:
        """Give what the page of a row that is there shows beside its form and its acts."""
        return {}

    def act_view(self, request: HttpRequest, object_id: str, name: str) -> HttpResponse:
        act = next((act for act in self.acts if act.name == name), None)
        obj = self.get_object(request, object_id)
        if act is None or obj is None:
            raise Http404
        if not act.may(current_user(request), obj) or not self.has_view_or_change_permission(request, obj):
            raise PermissionDenied
        if request.method == "GET" and not act.fits(obj):
            self.message_user(request, _NOT_NOW % {"act": act.label, "object": obj}, messages.WARNING)
            return HttpResponseRedirect(self.change_address(obj))
        sent = (request.POST, request.FILES) if request.method == "POST" else (None, None)
        form = act.form(*sent, obj=obj, by=current_user(request))
        refusals: Iterable[Refusal] = ()
        if request.method == "POST" and form.is_valid():
            try:
                result = act.run(obj, current_user(request), form.cleaned_data)
            except Refused as refused:
                refusals = refused.refusals
            else:
                self.message_user(request, str(act.done) % {"object": result}, messages.SUCCESS)
                return HttpResponseRedirect(self.after(request, act, result))
        return self._act_page(request, act, obj, form, refusals)

    def after(self, request: HttpRequest, act: Act, result: Model) -> str:
        """Where to go on when an act is done."""
        return self.change_address(result)

    def _act_page(
        self, request: HttpRequest, act: Act, obj: Model, form: ActForm, refusals: Iterable[Refusal]
    ) -> HttpResponse:
        reasons = []
        for refusal in refusals:
            if refusal.step is None and refusal.field in form.fields:
                form.add_error(refusal.field, str(refusal))
            else:
                reasons.append(Reason(str(refusal), self.change_address(obj) + self.anchor(obj, refusal)))
        context = {
            **self.admin_site.each_context(request),
            "title": act.label,
            "opts": self.opts,
            "original": obj,
            "act": act,
            "form": form,
            "reasons": reasons,
            "preview": list(act.preview(obj)),
            "back": self.change_address(obj),
            "media": self.media,
        }
        refused = request.method == "POST" and not form.is_looking
        return TemplateResponse(request, "guides/admin/act.html", context, status=409 if refused else 200)

    def anchor(self, obj: Any, refusal: Refusal) -> str:
        """Where on the change page a refusal is mended."""
        return f"#id_{refusal.field}" if refusal.field else ""

    def response_change(self, request: HttpRequest, obj: Model) -> HttpResponse:
        """A button of an act has saved the form; go on to the act's page."""
        wanted = request.POST.get(THEN)
        for act in self.offered(request, obj):
            if act.name == wanted:
                return HttpResponseRedirect(self.act_address(obj, act))
        if wanted:
            self.message_user(request, _("Saved. That act is not open to you here now."), messages.WARNING)
            return HttpResponseRedirect(self.change_address(obj))
        return super().response_change(request, obj)


def current_user(request: HttpRequest) -> User:
    assert isinstance(request.user, User)  # noqa: S101 - every view here sits behind admin_view
    return request.user
