"""Somebody who learns a site's guides."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Mutability, Record
from .site import Site


class Trainee(Record):
    """A name on a site's list. It may be written over with initials when they leave: what was signed off stays."""

    mutability = Mutability.MUTABLE
    on_pages = False

    site = models.ForeignKey(Site, models.PROTECT, related_name="trainees", verbose_name=_("site"))
    name = models.CharField(
        _("name"), max_length=60, blank=True, help_text=_("As the others call them; initials will do.")
    )  # the constraint names the field
    has_left = models.BooleanField(
        _("has left"), default=False, help_text=_("Off the list; what they were signed off for stays written.")
    )

    class Meta:
        verbose_name = _("trainee")
        verbose_name_plural = _("trainees")
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["site", "name"],
                name="trainee_name_once",
                violation_error_message=_("Name: somebody here is called that already; add a letter."),
            ),
            models.CheckConstraint(
                condition=~models.Q(name=""),
                name="trainee_has_name",
                violation_error_message=_("Name: not empty."),
            ),
        ]

    def __str__(self) -> str:
        return self.name
