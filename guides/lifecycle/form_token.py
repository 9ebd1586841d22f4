"""A form that works without a cookie: a signed token says when it was opened and for what, and is good for one post."""

from __future__ import annotations

import datetime
import secrets
import time
from dataclasses import dataclass
from enum import Enum
from typing import Final

from django.core import signing
from django.db import IntegrityError, transaction
from django.utils import timezone

from guides.models import SpentToken

LEAST_S: Final = 3
"""Nobody reads a form and writes into it in less."""
MOST_S: Final = 6 * 3600
"""A form left open longer is opened again."""
_SALT: Final = "guides.form_token"


class Trouble(Enum):
    FORGED = "not signed here, or for another form"
    EARLY = "sent sooner than a person could"
    LATE = "opened too long ago"
    USED = "sent already"


class TokenRefused(Exception):
    """The token does not let this post through."""

    def __init__(self, trouble: Trouble) -> None:
        self.trouble = trouble
        super().__init__(trouble.value)


@dataclass(frozen=True)
class FormToken:
    """A token that was found to be good; ``spend`` it together with what the form was for."""

    nonce: str


def issue(purpose: str) -> str:
    """Give a fresh token for one sending of one form.

    Args:
        purpose: which form; a token is good for no other.
    """
    return signing.dumps([secrets.token_urlsafe(18), purpose, int(time.time())], salt=_SALT)


def read(text: str, purpose: str) -> FormToken:
    """Look at a token as it came back.

    Raises:
        TokenRefused: forged, too early or too late.
    """
    try:
        nonce, purposed, opened_s = signing.loads(text, salt=_SALT)
    except (signing.BadSignature, ValueError, TypeError) as error:
        raise TokenRefused(Trouble.FORGED) from error
    if purposed != purpose:
        raise TokenRefused(Trouble.FORGED)
    age_s = time.time() - opened_s
    if age_s < LEAST_S:
        raise TokenRefused(Trouble.EARLY)
    if age_s > MOST_S:
        raise TokenRefused(Trouble.LATE)
    return FormToken(nonce)


def spend(token: FormToken) -> None:
    """Use a token up. Call inside the transaction that stores what was sent: both stay, or neither.

    Raises:
        TokenRefused: it has been used.
    """
    expires_at = timezone.now() + datetime.timedelta(seconds=MOST_S)
    try:
        with transaction.atomic():
            SpentToken.objects.create(nonce=token.nonce, expires_at=expires_at)
    except IntegrityError as error:
        raise TokenRefused(Trouble.USED) from error


def sweep() -> int:
    """Delete what is kept of tokens that are too old to come back; give how many."""
    return SpentToken.objects.filter(expires_at__lt=timezone.now()).delete()[0]
