"""A look at the first sheet of an order, before anything is made."""

from __future__ import annotations

from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied
from django.forms import model_to_dict
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import patch_cache_control

from guides.documents import first_sheet, orders
from guides.documents.errors import InsertRefused
from guides.models import PackingRun
from guides.queries import lots

from .packing_page import OrderForm

_SIDE = "side"


def addresses(form: OrderForm) -> list[str]:
    """Give where the sides of the first sheet can be looked at; where that cannot be, the form says why.

    Args:
        form: a valid order; reasons are added to it.
    """
    try:
        return sides_of(form.save(commit=False))
    except InsertRefused as refused:
        for reason in refused.reasons:
            form.add_error(None, reason)
        return []


def sides_of(run: PackingRun) -> list[str]:
    """Give where the sides of a run's first sheet can be looked at; it is not saved yet.

    Raises:
        InsertRefused: not to be printed, or a text that does not fit.
    """
    asked = {"lot": run.lot.name, **model_to_dict(run, list(OrderForm.base_fields))}
    start, sides = reverse("admin:guides_packingrun_sheet"), len(first_sheet.pictures(orders.order_of(run)))
    return [f"{start}?{urlencode({**asked, _SIDE: side})}" for side in range(sides)]


def answer(request: HttpRequest) -> HttpResponse:
    """Give one side of the first sheet as a picture."""
    if not request.user.has_perm("guides.print_lot"):
        raise PermissionDenied
    lot, side = lots.find(request.GET.get("lot", "")), request.GET.get(_SIDE, "")
    form = OrderForm(request.GET, lot=lot) if lot else None
    if form is None or not form.is_valid() or not side.isdecimal():
        raise Http404
    try:
        sides = first_sheet.pictures(orders.order_of(form.save(commit=False)))
    except InsertRefused as refused:
        raise Http404 from refused
    if int(side) >= len(sides):
        raise Http404
    response = HttpResponse(sides[int(side)], content_type="image/png")
    patch_cache_control(response, private=True, no_store=True)
    return response
