"""The language of the desk: each member of staff has one, kept with their account and not in a cookie."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, HttpResponseRedirect
from django.urls import reverse
from django.utils import translation
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from .acts import current_user


class DeskLanguage:
    """Middleware: the desk speaks the language of who is logged in; others get what their browser asks for."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith(reverse("admin:index")):
            own = getattr(request.user, "language", "")
            if own:
                translation.activate(own)
                request.LANGUAGE_CODE = own
        return self.get_response(request)


@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Keep the language somebody chooses and show the page they were on in it."""
    wanted, user = request.POST.get("language", ""), current_user(request)
    if wanted not in dict(settings.LANGUAGES):
        return HttpResponseBadRequest(_("Choose one of the languages offered."))
    user.language = wanted
    user.save(update_fields=["language"])
    back = request.headers.get("Referer", "")
    hosts, secure = {request.get_host()}, request.is_secure()
    known = url_has_allowed_host_and_scheme(back, allowed_hosts=hosts, require_https=secure)
    return HttpResponseRedirect(back if known else reverse("admin:index"))
