"""Bag and insert, scanned one after the other: SAME LOT or WRONG LOT, over the whole screen.

One field takes everything, so that a hand scanner needs nobody to touch anything: the first code is remembered in the
form, the second gives the answer. Without a script every code is a page of its own; with one (``js/lot_check.js``) only
the piece that changes is replaced, and the answer is heard.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django import forms
from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.response import TemplateResponse
from django.urls import URLPattern, path
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from guides.choices import CheckMeans
from guides.lifecycle import lot_check
from guides.lifecycle.lot_check import Code
from guides.media import symbols
from guides.media.errors import NotTaken
from guides.models import LotCheck
from guides.models.lot_check import LONGEST_CODE
from guides.presenters import check_words, scanned

from .acts import current_user
from .desk import Desk, ReadOnly
from .period import by_period
from .uploads import picture_field

_PIECE: Final = "X-Piece"


class PairForm(forms.Form):
    """``first`` is what was read before; ``code`` what comes now, or ``photo`` with one code or both on it."""

    first = forms.CharField(required=False, max_length=LONGEST_CODE, widget=forms.HiddenInput)
    code = forms.CharField(required=False, max_length=LONGEST_CODE)
    photo = picture_field(gettext_lazy("Photo"))
    means = forms.ChoiceField(required=False, choices=CheckMeans.choices)


@dataclass(frozen=True)
class Stand:
    """Where a check stands: what was read first, what the second gave, or what went wrong."""

    first: str = ""
    first_name: str = ""
    shown: check_words.Shown | None = None
    error: str = ""


@admin.register(LotCheck)
class LotCheckAdmin(ReadOnly, Desk):
    change_list_template = "guides/admin/lot_checks.html"
    list_display = ("at", "bag", "insert", "answer", "means", "who")
    list_display_links = ("at",)
    list_filter = ("answer", "means", "by", by_period("at"))
    list_select_related = ("bag", "insert", "by")
    search_fields = ("bag__name", "insert__name", "bag_text", "insert_text")
    fields = (("at", "by", "means"), "answer", ("bag", "bag_text"), ("insert", "insert_text"))

    @admin.display(description=gettext_lazy("by"), ordering="by")
    def who(self, check: LotCheck) -> str:
        return check.by.display_name

    def get_urls(self) -> list[URLPattern]:
        wrap = self.admin_site.admin_view
        return [
            path("pair/", wrap(self.pair_view), name="guides_lotcheck_pair"),
            path("read/", wrap(require_POST(self.read_view)), name="guides_lotcheck_read"),
            *super().get_urls(),
        ]

    def pair_view(self, request: HttpRequest) -> HttpResponse:
        """Take one code after the other; the second is answered."""
        _refuse_others(request)
        stand = self._taken(request) if request.method == "POST" else Stand()
        template = "guides/admin/lot_check_piece.html" if _PIECE in request.headers else "guides/admin/lot_check.html"
        context = {**self.admin_site.each_context(request), "title": _("Check bag and insert"), "stand": stand}
        return TemplateResponse(request, template, context)

    def read_view(self, request: HttpRequest) -> HttpResponse:
        """Give what can be read in one frame of a camera; nothing of it is kept."""
        _refuse_others(request)
        frame = request.FILES.get("photo")
        try:
            return JsonResponse({"codes": symbols.read(frame, frame.size or 0) if frame else []})
        except NotTaken as error:
            return JsonResponse({"codes": [], "error": "".join(error.messages)}, status=400)

    def _taken(self, request: HttpRequest) -> Stand:
        form = PairForm(request.POST, request.FILES)
        if not form.is_valid():
            return Stand(request.POST.get("first", "")[:LONGEST_CODE], error=_longest(form))
        first, photo = form.cleaned_data["first"], form.cleaned_data["photo"]
        means = CheckMeans(form.cleaned_data["means"] or CheckMeans.KEYS)
        codes = [form.cleaned_data["code"]] if form.cleaned_data["code"] else []
        if photo:
            means = CheckMeans.PHOTO
            try:
                codes = symbols.read(photo, photo.size)
            except NotTaken as error:
                return _begun(first, "".join(error.messages))
            if not codes:
                return _begun(
                    first, _("No code can be read on this photo. Go nearer, hold still, and keep it out of shade.")
                )
            if len(codes) > 2 or (first and len(codes) > 1):
                return _begun(
                    first, _("There are more codes on this photo than a bag's and an insert's. Take them alone.")
                )
        return self._gone_on(request, [code for code in (first, *codes) if code], means)

    def _gone_on(self, request: HttpRequest, codes: list[str], means: CheckMeans) -> Stand:
        if not codes:
            return Stand(error=_("Nothing was read. Scan the bag, or type its code."))
        bag, insert = (*(_code(text) for text in codes), lot_check.NOTHING)[:2]
        if insert is lot_check.NOTHING and not lot_check.is_an_end(bag):
            return _begun(codes[0], "")
        verdict = lot_check.check(bag, insert, by=current_user(request), means=means)
        return Stand(shown=check_words.of(verdict))


def _refuse_others(request: HttpRequest) -> None:
    if not request.user.has_perm("guides.print_lot"):
        raise PermissionDenied


def _begun(first: str, error: str) -> Stand:
    first = first[:LONGEST_CODE]
    return Stand(first, check_words.name(_code(first)) if first else "", error=error)


def _code(text: str) -> Code:
    read = scanned.read(text)
    edition = read.edition
    if edition is None:
        return Code(read.text, read.lot, is_of_bag=read.is_of_bag)
    return Code(read.text, read.lot, guide=edition.guide, revision=edition.revision)


def _longest(form: forms.Form) -> str:
    return " ".join(str(message) for messages in form.errors.values() for message in messages)
