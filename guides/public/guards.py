"""What stands before a form that anybody may send: no account, no cookie, no third party, and no robot gets through.

A view asks ``check`` before it looks at what was typed. Whatever is wrong is said in words, with the token to go on
with, so that the same text can be sent again. ``form_token.spend`` belongs into the transaction that stores it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from guides.lifecycle import form_token, rate_limit
from guides.lifecycle.form_token import FormToken, TokenRefused, Trouble
from guides.lifecycle.rate_limit import Rate, TooMany

TOKEN_FIELD: Final = "token"  # noqa: S105 - the name of a field
TRAP_FIELD: Final = "homepage"

_STATUS: Final = {Trouble.FORGED: 400, Trouble.EARLY: 400, Trouble.LATE: 400, Trouble.USED: 409}
_WORDS: Final = {
    Trouble.FORGED: _("This form was not opened here, or the site has been renewed since. Send it again now."),
    Trouble.EARLY: _("That was sent faster than people type. Wait a few seconds and send it again."),
    Trouble.LATE: _("This form was opened a long time ago. Read it once more and send it again."),
    Trouble.USED: _("This form has arrived already. If you want to send something else, write it here."),
}


@dataclass(frozen=True)
class Guard:
    """A form's guards: ``act`` is what one sender may do so often, ``purpose`` the very form a token is good for."""

    act: str
    purpose: str
    rates: tuple[Rate, ...]


class Stopped(Exception):
    """A post that is not taken. Show ``message``, ``token`` in the form and what was typed; answer ``status``."""

    def __init__(self, status: int, message: str | Promise, token: str, retry_after_s: int | None = None) -> None:
        self.status, self.message, self.token, self.retry_after_s = status, message, token, retry_after_s
        super().__init__(str(message))

    def mark(self, response: HttpResponse) -> HttpResponse:
        """Say in the answer's header when to try again, where that is known."""
        if self.retry_after_s is not None:
            response.headers["Retry-After"] = str(self.retry_after_s)
        return response


def check(request: HttpRequest, guard: Guard) -> FormToken:
    """Let a post through to the view, or say why not.

    Raises:
        Stopped: too often, from another site, by a robot, or with a token that does not fit.
    """
    sent = request.POST.get(TOKEN_FIELD, "")
    try:
        for rate in guard.rates:
            rate_limit.count(rate, guard.act, request.META["REMOTE_ADDR"])
    except TooMany as many:
        raise Stopped(429, _again_in(many.retry_after_s), sent, many.retry_after_s) from many
    if not _from_our_page(request):
        raise Stopped(403, _("This came from another site. Send it from here, if you mean it."), _fresh(guard))
    if request.POST.get(TRAP_FIELD, ""):
        words = _(
            "A field that people don't see was filled in, perhaps by your browser. It is empty now: send it again."
        )
        raise Stopped(400, words, sent)
    try:
        return form_token.read(sent, guard.purpose)
    except TokenRefused as refused:
        raise stopped_by(refused, guard, sent) from refused


def stopped_by(refused: TokenRefused, guard: Guard, sent: str = "") -> Stopped:
    """Put a refused token into words. One that came early grows older while its words are read; others are renewed."""
    token = sent if refused.trouble is Trouble.EARLY else _fresh(guard)
    return Stopped(_STATUS[refused.trouble], _WORDS[refused.trouble], token)


def _fresh(guard: Guard) -> str:
    return form_token.issue(guard.purpose)


def _from_our_page(request: HttpRequest) -> bool:
    """Browsers name the page a form was sent from, in one of two headers; other sites cannot forge either."""
    named = request.headers.get("Origin") or request.headers.get("Referer", "")
    try:
        parts = urlsplit(named)
    except ValueError:
        return False
    return f"{parts.scheme}://{parts.netloc}" in (
        settings.PUBLIC_BASE_URL,
        f"{request.scheme}://{request.get_host()}",
    )


def _again_in(seconds: int) -> str:
    minutes = -(-seconds // 60)
    return ngettext(
        "That was often. Nothing is lost: send it again in a minute.",
        "That was often. Nothing is lost: send it again in %(minutes)s minutes.",
        minutes,
    ) % {"minutes": minutes}
