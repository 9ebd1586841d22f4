"""An address of somebody's that is told when something is published, withdrawn or recalled."""

from __future__ import annotations

import base64
import secrets

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record

SECRET_PREFIX = "whsec_"  # noqa: S105 - how the open standard marks a secret


def new_secret() -> str:
    """Give a fresh secret of 256 bits, written as Standard Webhooks has it."""
    return SECRET_PREFIX + base64.b64encode(secrets.token_bytes(32)).decode()


class Webhook(Record):
    """``secret`` signs what is sent, so it is kept as it is; it is shown once, to whoever adds the address."""

    mutability = Mutability.MUTABLE
    on_pages = False

    url = models.CharField(
        _("address"), max_length=500, help_text=_("With https, such as https://shop.example/hooks/guides.")
    )
    about = models.JSONField(_("told of"), default=list)
    secret = models.CharField(max_length=80, default=new_secret, editable=False)
    created_at = models.DateTimeField(_("added at"), auto_now_add=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False, verbose_name=_("added by")
    )
    ended_at = models.DateTimeField(_("ended at"), null=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        related_name="+",
        editable=False,
        verbose_name=_("ended by"),
    )

    class Meta:
        verbose_name = _("webhook")
        verbose_name_plural = _("webhooks")
        default_permissions = ("view",)
        permissions = [("manage_webhook", _("Can add and end webhooks"))]
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__isnull=False, ended_by__isnull=False),
                name="webhook_ended_by_and_at",
                violation_error_message=_("Ended: who and when stand together."),
            ),
        ]

    def __str__(self) -> str:
        return self.url

    @property
    def is_ended(self) -> bool:
        return self.ended_at is not None
