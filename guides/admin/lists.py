"""Lists in and out, beside the rows they are of: choose a file, read what it would do, keep it; or take it along."""

from __future__ import annotations

import io
from typing import Any, Final

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.exchange import lists
from guides.exchange.incoming import take_in
from guides.exchange.incoming.cells import Dates, Decimals, Reading
from guides.exchange.incoming.kinds import KINDS, Kind
from guides.exchange.incoming.plan import Plan
from guides.exchange.incoming.table import FileRefused
from guides.exchange.lists import Style
from guides.lifecycle.errors import Refused
from guides.models import HeldList
from guides.models.held_list import KEPT_FOR

from .acts import current_user
from .desk import Desk

MOST_BYTES: Final = 2_000_000
MOST_ROWS: Final = 5_000
"""More would keep a browser waiting; the command takes them."""
_MOST_SHOWN: Final = 500


class ListForm(forms.Form):
    """Which list, which file, and how its writer writes dates and decimals."""

    kind = forms.ChoiceField(label=_("List"))
    file = forms.FileField(
        label=_("File"),
        required=False,
        allow_empty_file=True,
        help_text=_("CSV or XLSX, up to 2 MB and 5000 rows. Nothing is kept before you have seen what it does."),
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.xlsx,text/csv"}),
    )
    dates = forms.ChoiceField(
        label=_("Dates"),
        choices=[(Dates.ISO.value, _("year first: 2025-12-31")), (Dates.DAY_FIRST.value, _("day first: 31.12.2025"))],
    )
    decimals = forms.ChoiceField(
        label=_("Decimals"),
        choices=[
            (Decimals.AUTO.value, _("as they come; what could be thousands is asked")),
            (Decimals.COMMA.value, _("with a comma: 12,5")),
            (Decimals.POINT.value, _("with a point: 12.5")),
        ],
    )

    def __init__(self, kinds: list[Kind], held: HeldList | None, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.held = held
        self.fields["kind"].choices = [(kind.name, kind.title) for kind in kinds]  # type: ignore[attr-defined]

    def clean_file(self) -> UploadedFile | None:
        file: UploadedFile | None = self.cleaned_data["file"]
        if file is None and self.held is None:
            raise forms.ValidationError(_("File: choose one."))
        if file is not None and (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError(
                _("File: larger than %(most)s MB. Split it, or have it brought in by the command import_list.")
                % {"most": MOST_BYTES // 10**6}
            )
        return file


class ListsInAndOut(Desk):
    """A desk page whose rows come in and go out as lists. ``lists`` names them; the first is the rows themselves."""

    lists: tuple[str, ...] = ()
    change_list_template = "guides/admin/with_lists.html"

    def get_urls(self) -> list[URLPattern]:
        wrap, name = self.admin_site.admin_view, f"guides_{self.opts.model_name}"
        return [
            path("import/", wrap(self.import_view), name=f"{name}_import"),
            path("export/", wrap(self.export_view), name=f"{name}_export"),
            *super().get_urls(),
        ]

    def changelist_view(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        start = f"admin:guides_{self.opts.model_name}"
        kinds = [KINDS[name] for name in self.lists]
        export, more = reverse(f"{start}_export"), extra_context or {}
        more["import_address"] = reverse(f"{start}_import") if self.has_add_permission(request) else ""
        more["list_addresses"] = [(kind.title, f"{export}?list={kind.name}") for kind in kinds]
        return super().changelist_view(request, more)

    def export_view(self, request: HttpRequest) -> HttpResponse:
        """Give a list as CSV."""
        if not self.has_view_permission(request):
            raise PermissionDenied
        name = request.GET.get("list", "")
        name = name if name in self.lists else self.lists[0]
        out = io.StringIO(newline="")
        lists.write(name, out, Style.COMMA)
        headers = {"Content-Disposition": f'attachment; filename="{name}.csv"'}
        return HttpResponse(out.getvalue(), content_type="text/csv; charset=utf-8", headers=headers)

    def import_view(self, request: HttpRequest) -> HttpResponse:
        """Take a file, show what it would do, and keep it once that is confirmed."""
        if not (self.has_add_permission(request) and self.has_change_permission(request)):
            raise PermissionDenied
        held = self._held(request)
        if request.method != "POST":
            return self._page(request, self._form(held), held)
        if held is not None and "_keep" in request.POST:
            return self._keep(request, held)
        kinds = [KINDS[name] for name in self.lists]
        form = ListForm(kinds, held, request.POST, request.FILES)
        if not form.is_valid():
            return self._page(request, form, held, status=400)
        held = self._hold(request, form, held)
        address = reverse(f"admin:guides_{self.opts.model_name}_import")
        return HttpResponseRedirect(f"{address}?held={held.token}")

    def _held(self, request: HttpRequest) -> HeldList | None:
        """Give the file that was sent before; nobody sees another's."""
        token = request.GET.get("held", "")
        return HeldList.objects.filter(token=token, by=current_user(request), kind__in=self.lists).first()

    def _form(self, held: HeldList | None) -> ListForm:
        start = {"kind": held.kind, "dates": held.dates, "decimals": held.decimals} if held else None
        return ListForm([KINDS[name] for name in self.lists], held, initial=start)

    def _hold(self, request: HttpRequest, form: ListForm, held: HeldList | None) -> HeldList:
        HeldList.objects.filter(sent_at__lt=timezone.now() - KEPT_FOR).delete()
        file: UploadedFile | None = form.cleaned_data["file"]
        held = held or HeldList(by=current_user(request))
        held.kind, held.sent_at = form.cleaned_data["kind"], timezone.now()
        held.dates, held.decimals = form.cleaned_data["dates"], form.cleaned_data["decimals"]
        if file is not None:
            held.name, held.content = (file.name or "")[-120:], file.read()
        held.save()
        return held

    def _keep(self, request: HttpRequest, held: HeldList) -> HttpResponse:
        kind = KINDS[held.kind]
        try:
            kept = take_in.keep(
                kind,
                bytes(held.content),
                _reading(held),
                by=current_user(request),
                source=held.name,
                shown=request.POST.get("shown", ""),
            )
        except take_in.Moved as moved:
            return self._page(request, self._form(held), held, plan=moved.plan, error=str(moved), status=409)
        except (Refused, FileRefused) as refused:
            return self._page(request, self._form(held), held, error=str(refused), status=409)
        held.delete()
        text = _("From %(file)s: %(new)s new, %(changed)s changed.")
        told = {"file": held.name, "new": len(kept.new), "changed": len(kept.changed)}
        self.message_user(request, text % told, messages.SUCCESS)
        return HttpResponseRedirect(reverse(f"admin:guides_{self.opts.model_name}_changelist"))

    def _page(
        self,
        request: HttpRequest,
        form: ListForm,
        held: HeldList | None,
        *,
        plan: Plan | None = None,
        error: str = "",
        status: int = 200,
    ) -> HttpResponse:
        if held is not None and plan is None and not error:
            plan, error = _looked_at(held)
        parts = _parts(plan) if plan else []
        context = {
            **self.admin_site.each_context(request),
            "title": _("Bring a list in"),
            "opts": self.opts,
            "form": form,
            "held": held,
            "plan": plan,
            "parts": parts,
            "digest": plan.digest() if plan else "",
            "error": error,
            "columns": [(kind.title, ", ".join(kind.columns)) for kind in (KINDS[name] for name in self.lists)],
            "media": self.media,
        }
        return TemplateResponse(request, "guides/admin/import_list.html", context, status=status)


def _reading(held: HeldList) -> Reading:
    return Reading(Dates(held.dates), Decimals(held.decimals))


def _looked_at(held: HeldList) -> tuple[Plan | None, str]:
    try:
        plan = take_in.look(KINDS[held.kind], bytes(held.content), _reading(held))
    except FileRefused as refused:
        return None, str(refused)
    if len(plan.rows) > MOST_ROWS:
        text = _("More than %(most)s rows. Split the file, or have it brought in by the command import_list.")
        return None, text % {"most": MOST_ROWS}
    return plan, ""


def _parts(plan: Plan) -> list[dict[str, Any]]:
    """Give the rows by what becomes of them: first what stops the file, then what changes."""
    wanted = (
        ("refused", _("Refused"), plan.refused),
        ("changed", _("Changed"), plan.changed),
        ("new", _("New"), plan.new),
        ("unchanged", _("Unchanged"), plan.unchanged),
    )
    return [
        {"name": name, "title": title, "rows": rows[:_MOST_SHOWN], "count": len(rows), "more": len(rows[_MOST_SHOWN:])}
        for name, title, rows in wanted
    ]
