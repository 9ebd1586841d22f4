"""What a program shows to be let in: kept as a hash, good for named things only, taken back by a person."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from guides.choices import Scope

from .base import Mutability, Record


class ApiToken(Record):
    """``digest`` is the SHA-256 of the token, whose 256 random bits nobody guesses; the token itself is not kept."""

    mutability = Mutability.MUTABLE
    on_pages = False

    name = models.CharField(_("who uses it"), max_length=60, help_text=_("Such as: web shop."))
    scopes = models.JSONField(_("may"), default=list, help_text=_("What is published, anybody may read without it."))
    start = models.CharField(_("begins with"), max_length=12, editable=False)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    created_at = models.DateTimeField(_("issued at"), auto_now_add=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False, verbose_name=_("issued by")
    )
    last_used_at = models.DateTimeField(_("last used at"), null=True, editable=False)
    revoked_at = models.DateTimeField(_("revoked at"), null=True, editable=False)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        related_name="+",
        editable=False,
        verbose_name=_("revoked by"),
    )

    class Meta:
        verbose_name = _("token")
        verbose_name_plural = _("tokens")
        default_permissions = ("view",)
        permissions = [("manage_apitoken", _("Can issue and revoke tokens"))]
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__isnull=False, revoked_by__isnull=False),
                name="token_revoked_by_and_at",
                violation_error_message=_("Revoked: who and when stand together."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_revoked(self) -> bool:
        return self.revoked_at is not None

    @property
    def said_scopes(self) -> str:
        """What it is good for, in words."""
        return ", ".join(str(Scope(scope).label) for scope in self.scopes)
