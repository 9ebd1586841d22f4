"""Staff. Customers have no account."""

from typing import ClassVar

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Mutability


class User(AbstractUser):
    """A member of staff; what they may do comes from groups."""

    mutability: ClassVar[Mutability] = Mutability.MUTABLE
    on_pages: ClassVar[bool] = False

    language = models.CharField(
        _("language at the desk"),
        max_length=8,
        choices=settings.LANGUAGES,
        blank=True,
        help_text=_("Empty: as the browser asks."),
    )

    @property
    def display_name(self) -> str:
        return self.get_full_name() or self.get_username()
