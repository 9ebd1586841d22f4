"""What every page of the desk has in common."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin, messages
from django.db import IntegrityError, models
from django.http import HttpRequest, HttpResponse
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from guides.lifecycle.errors import Refused

from .choosing import ShortLists
from .deleting import CountedDeletion
from .forms import NamedFieldsForm

MOST_ROWS = 60


class Desk(ShortLists, CountedDeletion, admin.ModelAdmin):
    """A stock model admin whose messages stand at their fields and whose lists act on nothing in bulk."""

    form = NamedFieldsForm
    # Every change of state has its own page that says what it does; what is unused is deleted one at a time.
    actions = None
    list_per_page = 30
    # The browser's own date and time fields: labelled, and made for thumbs.
    formfield_overrides = {
        models.DateField: {"widget": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})},
        models.DateTimeField: {
            "form_class": forms.DateTimeField,
            "widget": forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"}),
        },
    }

    def changeform_view(
        self,
        request: HttpRequest,
        object_id: str | None = None,
        form_url: str = "",
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        try:
            return super().changeform_view(request, object_id, form_url, extra_context)
        except IntegrityError:
            # Two people saved the same thing at once and the database kept the first. A second look finds that one
            # and says so at its field, with everything typed still there.
            messages.warning(request, _("Somebody saved at the same moment. Read your entries again before saving."))
            return super().changeform_view(request, object_id, form_url, extra_context)
        except Refused as refused:
            # Nothing was kept. A second look says why on the form, with everything typed still there.
            request.refused = refused  # type: ignore[attr-defined]
            return super().changeform_view(request, object_id, form_url, extra_context)

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        form = super().get_form(request, obj, change, **kwargs)
        refused = getattr(request, "refused", None)
        return form if refused is None else type(form.__name__, (form,), {"refused": refused})


class RowsInline(ShortLists, admin.StackedInline):
    """Rows of small labelled fields; ``description`` says once, above them, what to write."""

    template = "guides/admin/rows.html"
    form = NamedFieldsForm
    extra = 0
    max_num = MOST_ROWS
    description: str | Promise = ""

    def get_formset(self, request: HttpRequest, obj: Any = None, **kwargs: Any) -> Any:
        # A posted count is believed up to here, or one request could ask for thousands of rows.
        return super().get_formset(request, obj, absolute_max=MOST_ROWS, validate_max=True, **kwargs)


class ReadOnly(admin.options.BaseModelAdmin):
    """Rows that the site writes for itself: to look at, never to touch."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
