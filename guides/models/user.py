"""Staff. Customers have no account."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser

from .base import Mutability


class User(AbstractUser):
    """A member of staff; what they may do comes from groups."""

    mutability: ClassVar[Mutability] = Mutability.MUTABLE
    on_pages: ClassVar[bool] = False

    @property
    def display_name(self) -> str:
        return self.get_full_name() or self.get_username()
