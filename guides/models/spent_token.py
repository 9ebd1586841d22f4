"""Forms that have been sent: each can be sent once."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Passing


class SpentToken(Passing):
    """The random part of a form's token, kept until the token would be too old anyway."""

    nonce = models.CharField(max_length=32, primary_key=True)
    expires_at = models.DateTimeField(db_index=True)

    class Meta:
        verbose_name = _("form already sent")
        verbose_name_plural = _("forms already sent")

    def __str__(self) -> str:
        return self.nonce[:4]
