"""Every code ever printed. Rows are added and stay for ever, whatever happens to what they point at."""

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext_lazy as _

from guides.codes import short_code

from .base import AppendOnly
from .lot import Lot


def validate_code(value: str) -> None:
    if not short_code.is_valid(value):
        raise ValidationError(_("Address code: “%(value)s” has a wrong character or length.") % {"value": value})


class Address(AppendOnly):
    code = models.CharField(_("address code"), max_length=8, primary_key=True, validators=[validate_code])
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="addresses", verbose_name=_("lot"))
    created_at = models.DateTimeField(_("created at"), auto_now_add=True)

    class Meta:
        verbose_name = _("address")
        verbose_name_plural = _("addresses")
        ordering = ["created_at"]

    def __str__(self) -> str:
        return self.code
