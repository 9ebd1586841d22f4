"""Prints an insert of a lot from its page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from guides.documents.errors import InsertRefused
from guides.documents.insert import insert_pdf
from guides.models import GuideVersion, Lot
from guides.queries import lots
from guides.queries.versions import languages

if TYPE_CHECKING:
    from .lot import LotAdmin


@dataclass(frozen=True)
class Insert:
    """One that can be printed: which guide, in which language, and where it comes from."""

    title: str
    language: str
    address: str


def offered(lot: Lot) -> list[Insert]:
    """Give an insert for every guide shown for a lot and every language it is written in."""
    names = dict(settings.LANGUAGES)
    return [
        Insert(str(version), str(names.get(language, language)), _address(lot, version, language))
        for _assignment, version in lots.guides_of(lot)
        for language in languages(version)
    ]


def answer(desk: LotAdmin, request: HttpRequest, object_id: str, guide: int, language: str) -> HttpResponse:
    """Give the PDF, or go back to the lot with the reason why there is none."""
    lot = desk.get_object(request, object_id)
    if lot is None:
        raise Http404
    if not request.user.has_perm("guides.print_lot"):
        raise PermissionDenied
    version = next((version for _row, version in lots.guides_of(lot) if version.guide.number == guide), None)
    if version is None or language not in languages(version):
        raise Http404
    try:
        pdf = insert_pdf(lot, version, language)
    except InsertRefused as refused:
        desk.message_user(request, str(refused), messages.ERROR)
        return HttpResponseRedirect(desk.change_address(lot))
    name = f"{lot.name}-{guide}.{version.revision}.{language}.pdf"
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


def _address(lot: Lot, version: GuideVersion, language: str) -> str:
    return reverse("admin:guides_lot_insert", args=[lot.pk, version.guide.number, language])
