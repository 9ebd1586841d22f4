"""Own sizes and label stock: written down at the desk, tried on paper before anything is packed with them."""

from __future__ import annotations

from typing import Any

from django.contrib import admin, messages
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import URLPattern, path, reverse
from django.utils.translation import gettext_lazy as _

from guides.choices import Flip
from guides.documents import choices, test_sheets
from guides.documents.errors import InsertRefused
from guides.documents.insert import inserts_pdf
from guides.documents.sheets import A4, PAPERS
from guides.models import LabelStock, PrintFormat
from guides.queries import house, printing

from .desk import Desk
from .row_page import RowPage


class Tried(RowPage, Desk):
    """A size of paper with a button that prints it."""

    change_form_template = "guides/admin/paper_size.html"
    try_label: Any = ""
    try_help: Any = ""

    def get_urls(self) -> list[URLPattern]:
        name = f"guides_{self.opts.model_name}_try"
        view = self.admin_site.admin_view(self.try_view)
        return [path("<path:object_id>/try.pdf", view, name=name), *super().get_urls()]

    def try_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        """Give the trial, or go back with the reason why there is none."""
        row = self.get_object(request, unquote(object_id))
        if not self.has_view_or_change_permission(request, row) or not request.user.has_perm("guides.print_lot"):
            raise PermissionDenied
        if row is None:
            raise Http404
        try:
            pdf = self.trial(row)
        except InsertRefused as refused:
            for reason in refused.reasons:
                self.message_user(request, reason, messages.ERROR)
            return HttpResponseRedirect(reverse(f"admin:guides_{self.opts.model_name}_change", args=[row.pk]))
        return as_pdf(pdf, f"{row.key}.pdf")

    def trial(self, row: Any) -> bytes:
        raise NotImplementedError

    def beside(self, request: HttpRequest, obj: Model | None) -> dict[str, Any]:
        trial = obj and reverse(f"admin:guides_{self.opts.model_name}_try", args=[obj.pk])
        return {**super().beside(request, obj), "trial": trial, "try_label": self.try_label, "try_help": self.try_help}


@admin.register(PrintFormat)
class PrintFormatAdmin(Tried):
    change_list_template = "guides/admin/paper_sizes.html"
    list_display = ("name", "layout", "width_mm", "height_mm", "bleed_mm")
    list_filter = ("layout",)
    search_fields = ("name",)
    fields = ("name", "layout", ("width_mm", "height_mm"), ("margin_mm", "symbol_mm", "bleed_mm"))
    try_label = _("Try it")
    try_help = _("The newest lot's guide in this size. What does not fit is named.")

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.test_sheet_view)
        return [path("test-sheet/", view, name="guides_printformat_test_sheet"), *super().get_urls()]

    def changelist_view(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        names = choices.sheets()
        sheets = [(key, names[key], flip) for key in PAPERS for flip in Flip]
        return super().changelist_view(request, {**(extra_context or {}), "test_sheets": sheets})

    def trial(self, row: PrintFormat) -> bytes:
        found = printing.newest_printable()
        if found is None:
            raise InsertRefused([_("There is no lot with a published guide yet to try this size with.")])
        lot, version = found
        return inserts_pdf(lot, [(version, version.language)], choices.as_format(row))

    def test_sheet_view(self, request: HttpRequest) -> HttpResponse:
        """Give the sheet that shows whether a printer's two sides lie behind each other."""
        if not self.has_view_or_change_permission(request):
            raise PermissionDenied
        sheet, flip = request.GET.get("sheet", A4.key), request.GET.get("flip", Flip.LONG)
        if sheet not in PAPERS or flip not in Flip:
            raise Http404
        pdf = test_sheets.register_pdf(PAPERS[sheet], Flip(flip), house.current().languages[0])
        return as_pdf(pdf, f"test-{sheet}-{flip}.pdf")


@admin.register(LabelStock)
class LabelStockAdmin(Tried):
    list_display = ("name", "sheet", "columns", "rows", "width_mm", "height_mm")
    list_filter = ("sheet",)
    search_fields = ("name",)
    fields = (
        "name",
        "sheet",
        ("width_mm", "height_mm"),
        ("columns", "rows"),
        ("left_mm", "top_mm"),
        ("gutter_x_mm", "gutter_y_mm"),
    )
    try_label = _("Print its outlines")
    try_help = _("On plain paper, to hold against a sheet of labels and the light.")

    def trial(self, row: LabelStock) -> bytes:
        return test_sheets.outlines_pdf(choices.as_stock(row), house.current().languages[0])


def as_pdf(pdf: bytes, name: str) -> HttpResponse:
    """Answer with a paper that is looked at or printed, not kept."""
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)
