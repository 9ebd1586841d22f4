"""The register of codes: every code ever printed with what it leads to, lots' and sites', to print and put away."""

from __future__ import annotations

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from guides.models import Address, Site
from guides.presenters import addresses

from .acts import current_user


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """Show all codes in their order, as somebody with a bag in hand looks them up."""
    user = current_user(request)
    if not user.has_perm("guides.view_address"):
        raise PermissionDenied
    codes = Address.objects.select_related("lot__coffee").order_by("code")
    context = {
        **admin.site.each_context(request),
        "title": _("Register of codes"),
        "codes": codes,
        "sites": Site.objects.order_by("code") if user.has_perm("guides.view_site") else (),
        "example": addresses.absolute(reverse("bag", args=["CODE"])),
        "today": timezone.localdate(),
    }
    return TemplateResponse(request, "guides/admin/register.html", context)
