"""Lets programs in, and shuts them out again. A token is told once and kept as its hash alone."""

from __future__ import annotations

import datetime
import hashlib
import secrets
from typing import Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Scope, Verb
from guides.models import ApiToken, User

from . import audit, roles
from .errors import Refusal, refuse_if

PREFIX: Final = "guides_"
_SHOWN: Final = 4
_NOTED_EVERY: Final = datetime.timedelta(minutes=1)
"""Using a token is written down this often at most."""


def issue(token: ApiToken, *, by: User) -> str:
    """Keep a new token and give the text that opens the door; it is not to be had again.

    Args:
        token: its name and scopes.
        by: who issues it, and who may do what it may.

    Raises:
        Refused: not allowed, or a scope that there is none of.
    """
    found = roles.refusals(by, ["guides.manage_apitoken"], _("issue tokens"))
    if not token.name.strip():
        found.append(Refusal(_("Who uses it: write a name, so that you know what you take back one day."), "name"))
    if not set(token.scopes) <= set(Scope.values):
        found.append(Refusal(_("May: choose from the list."), "scopes"))
    refuse_if(found)
    text = PREFIX + secrets.token_urlsafe(32)
    token.start, token.digest, token.created_by = text[: len(PREFIX) + _SHOWN], _digest(text), by
    with transaction.atomic():
        token.save(force_insert=True)
        audit.record(Verb.ISSUED_TOKEN, by=by, reason=token.name, scopes=token.scopes)
    return text


def revoke(token: ApiToken, *, by: User) -> ApiToken:
    """Shut a token out for good.

    Raises:
        Refused: not allowed, or revoked already.
    """
    found = roles.refusals(by, ["guides.manage_apitoken"], _("revoke tokens"))
    with transaction.atomic():
        token = ApiToken.objects.select_for_update().get(pk=token.pk)
        if token.is_revoked:
            found.append(Refusal(_("This token is revoked already.")))
        refuse_if(found)
        token.revoked_at, token.revoked_by = timezone.now(), by
        token.save(update_fields=["revoked_at", "revoked_by"])
        audit.record(Verb.REVOKED_TOKEN, by=by, reason=token.name)
    return token


def found(text: str) -> ApiToken | None:
    """Give the token that a text opens, and note that it was used; ``None`` for any other text.

    A token counts while whoever issued it still works here.
    """
    known = ApiToken.objects.select_related("created_by").filter(digest=_digest(text), revoked_at__isnull=True).first()
    if known is None or not known.created_by.is_active:
        return None
    now = timezone.now()
    if known.last_used_at is None or now - known.last_used_at >= _NOTED_EVERY:
        ApiToken.objects.filter(pk=known.pk).update(last_used_at=now)
    return known


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode(errors="replace")).hexdigest()
