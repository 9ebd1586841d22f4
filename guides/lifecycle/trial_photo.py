"""Puts a photo on a trial brew, in place of the one before."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import TrialBrew, TrialPicture, User

from . import audit, roles
from .errors import refuse_if
from .step_media import PictureKept


def show(brew: TrialBrew, picture: PictureKept, *, by: User) -> TrialPicture:
    """Keep a stored picture as the photo of a brew.

    Raises:
        Refused: not allowed.
    """
    refuse_if(roles.refusals(by, ["guides.change_trialbrew"], _("put photos on trial brews")))
    columns = {
        "name": picture.name,
        "sha256": picture.sha256,
        "width": picture.width,
        "height": picture.height,
        "widths": list(picture.widths),
        "alt": picture.alt,
    }
    with transaction.atomic():
        row, _made = TrialPicture.objects.update_or_create(brew=brew, defaults=columns)
        audit.record(Verb.LOGGED, by=by, version=brew.version, lot=brew.lot, trial=brew.pk, photo=picture.name)
    return row
