"""A second factor for staff: a code of their phone beside the password, with recovery codes for a lost phone.

The stock log-in comes first, with its own guard against guessing. Whoever owes a second factor after it is nobody on
any page but these, so nothing else has to think of it. Codes are those of RFC 6238, as every authenticator app makes
them; the devices, their checks and the growing wait after wrong codes are django-otp's.
"""

from __future__ import annotations

from base64 import b32encode
from collections.abc import Callable
from typing import Any, Final

import django_otp
from django.conf import settings
from django.contrib import admin, messages
from django.contrib.auth.models import AnonymousUser
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from guides.choices import Verb
from guides.codes import qr
from guides.lifecycle import audit
from guides.models import User

RECOVERY_CODES: Final = 10
_OPEN_TO_HALF: Final = ("admin:second-step", "admin:second-factor", "admin:logout", "admin:login")


class SecondFactor:
    """Middleware: whoever owes a second factor is asked for it at the desk, and is nobody anywhere else."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        somebody: Any = request.user
        if not request.path.startswith(reverse("admin:index")):
            # Looked up only if the page asks who reads it, which public pages don't.
            request.user = SimpleLazyObject(lambda: AnonymousUser() if owes(somebody) else somebody)  # type: ignore[assignment]
        elif owes(somebody) and request.path not in {reverse(name) for name in _OPEN_TO_HALF}:
            step = "admin:second-step" if device_of(somebody) else "admin:second-factor"
            return HttpResponseRedirect(f"{reverse(step)}?{urlencode({'next': request.get_full_path()})}")
        return self.get_response(request)


def owes(user: Any) -> bool:
    """Say whether somebody is logged in by a password alone and must not be."""
    if not user.is_authenticated or not user.is_staff or user.is_verified():
        return False
    return bool(settings.SECOND_FACTOR_REQUIRED or device_of(user))


def device_of(user: User) -> TOTPDevice | None:
    """Give somebody's authenticator, if they have set one up."""
    device: TOTPDevice | None = TOTPDevice.objects.devices_for_user(user, confirmed=True).first()
    return device


@never_cache
@sensitive_post_parameters("code")
def step(request: HttpRequest) -> HttpResponse:
    """Ask for the code after the password."""
    user: Any = request.user
    if user.is_verified() or not owes(user):
        return HttpResponseRedirect(_next(request))
    if device_of(user) is None:
        return HttpResponseRedirect(reverse("admin:second-factor"))
    wrong = ""
    if request.method == "POST":
        waited = _must_wait(user)
        device = _matching(user, _typed(request))
        if device is not None:
            _let_in(request, device)
            return HttpResponseRedirect(_next(request))
        wrong = _wrong(waited)
    return _page(request, "second_step", _("Your second factor"), wrong=wrong, next=_next(request))


@never_cache
@sensitive_post_parameters("code")
def manage(request: HttpRequest) -> HttpResponse:
    """Set a second factor up, renew its recovery codes, or take it off."""
    user: Any = request.user
    device = device_of(user)
    if device is not None and owes(user):
        return HttpResponseRedirect(reverse("admin:second-step"))
    if request.method != "POST":
        return _shown(request, user, device)
    if device is None:
        return _confirmed(request, user)
    waited = _must_wait(user)
    if _matching(user, _typed(request)) is None:
        return _shown(request, user, device, wrong=_wrong(waited))
    if request.POST.get("act") == "off" and not settings.SECOND_FACTOR_REQUIRED:
        take_off(user)
        messages.success(request, _("Your second factor is off. The password alone lets you in."))
        return HttpResponseRedirect(reverse("admin:second-factor"))
    return _shown(request, user, device, new_codes=_new_codes(user))


def take_off(user: User, reason: str = "") -> bool:
    """Remove every device of somebody and write it down; say whether there were any.

    Args:
        user: whose; it is written down as theirs, for nobody knows who gives a command.
        reason: how it came to that, if not by themselves.
    """
    with transaction.atomic():
        found = [kind.objects.filter(user=user).delete()[0] for kind in (TOTPDevice, StaticDevice)]
        if any(found):
            audit.record(Verb.FACTOR_OFF, by=user, reason=reason)
    return any(found)


def _confirmed(request: HttpRequest, user: User) -> HttpResponse:
    """Turn the authenticator on that shows the right code, and hand out the recovery codes."""
    new, waited = _unconfirmed(user), _must_wait(user)
    if not new.verify_token(_typed(request)):
        return _shown(request, user, None, wrong=_wrong(waited))
    new.confirmed = True
    new.save(update_fields=["confirmed"])
    _let_in(request, new)
    return _shown(request, user, new, new_codes=_new_codes(user))


def _shown(
    request: HttpRequest, user: User, device: TOTPDevice | None, *, wrong: str = "", new_codes: list[str] | None = None
) -> HttpResponse:
    context: dict[str, Any] = {"device": device, "wrong": wrong, "new_codes": new_codes}
    if device is None:
        new = _unconfirmed(user)
        key = b32encode(new.bin_key).decode()
        context["key"] = " ".join(key[start : start + 4] for start in range(0, len(key), 4))
        title = _("Code to scan with your authenticator app")
        context["drawing"] = mark_safe(qr.text_symbol(new.config_url).svg(title))  # noqa: S308 drawn by ourselves
    else:
        context["left"] = StaticToken.objects.filter(device__user=user).count()
    return _page(request, "second_factor", _("Second factor"), required=settings.SECOND_FACTOR_REQUIRED, **context)


def _unconfirmed(user: User) -> TOTPDevice:
    device, _made = TOTPDevice.objects.get_or_create(user=user, confirmed=False, defaults={"name": "authenticator"})
    return device


def _new_codes(user: User) -> list[str]:
    StaticDevice.objects.filter(user=user).delete()
    device = StaticDevice.objects.create(user=user, name="recovery")
    codes = [StaticToken.random_token() for _number in range(RECOVERY_CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=device, token=code) for code in codes)
    return codes


def _matching(user: User, code: str) -> Any:
    return django_otp.match_token(user, code) if code else None


def _typed(request: HttpRequest) -> str:
    """The code without the spaces people and apps put into it."""
    return "".join(request.POST.get("code", "").split()).lower()[:32]


def _must_wait(user: User) -> bool:
    """Say whether a code typed now is not even looked at, after wrong ones."""
    return any(not device.verify_is_allowed()[0] for device in django_otp.devices_for_user(user, confirmed=None))


def _wrong(waited: bool) -> str:
    if waited:
        return _("After a wrong code there is a wait, longer each time. Wait a while, then use a fresh one.")
    return _("That code is not right. Use the one your app shows now; each is good once.")


def _let_in(request: HttpRequest, device: Any) -> None:
    request.session.cycle_key()
    django_otp.login(request, device)


def _next(request: HttpRequest) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if safe else reverse("admin:index")


def _page(request: HttpRequest, name: str, title: str, **context: Any) -> HttpResponse:
    return TemplateResponse(
        request, f"guides/admin/{name}.html", {**admin.site.each_context(request), "title": title, **context}
    )
