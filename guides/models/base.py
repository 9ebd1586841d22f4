"""What every model declares: whether its rows may change, and the guard that holds it to that.

The guard here gives a person a clear refusal. It is the first of three: the admin shows frozen rows read-only, and
database triggers (``triggers.py``) stop ``update()``, ``bulk_update()`` and raw SQL as well.
"""

from __future__ import annotations

from enum import Enum
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext_lazy as _


class Mutability(Enum):
    MUTABLE = "rows may change"
    FREEZES = "rows may change until the guide version they belong to is published"
    APPEND_ONLY = "rows are added, never changed or deleted"


class FrozenRow(ValidationError):
    """Somebody tried to change what is printed on bags."""


class Record(models.Model):
    """Base of every model of ours.

    ``on_pages``: customers' pages may show something of its rows, so a change of one makes every kept page anew.
    """

    mutability: ClassVar[Mutability]
    on_pages: ClassVar[bool] = True

    class Meta:
        abstract = True


class AppendOnly(Record):
    """A row that is written once."""

    mutability = Mutability.APPEND_ONLY

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise FrozenRow(_("%(what)s is a permanent record; add a new one instead.") % {"what": self})
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise FrozenRow(_("%(what)s is a permanent record and stays.") % {"what": self})


class Passing(Record):
    """A row that the site keeps for itself for some hours or days and then sweeps away. It is nobody's work."""

    mutability = Mutability.MUTABLE
    on_pages = False

    class Meta:
        abstract = True


class PartOfVersion(Record):
    """A row that belongs to a guide version and freezes with it."""

    mutability = Mutability.FREEZES

    class Meta:
        abstract = True

    def owning_version_id(self) -> int:
        raise NotImplementedError

    def save(self, *args: Any, **kwargs: Any) -> None:
        self._refuse_if_frozen()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        self._refuse_if_frozen()
        return super().delete(*args, **kwargs)

    def _refuse_if_frozen(self) -> None:
        from .guide_version import GuideVersion

        version = GuideVersion.objects.filter(pk=self.owning_version_id()).first()
        if version is not None and version.is_frozen:
            raise FrozenRow(
                _("%(version)s is %(state)s and printed on bags: its steps and texts stay. Open the next draft.")
                % {"version": version, "state": version.get_state_display()}
            )
