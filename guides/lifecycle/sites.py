"""Writes down that a site was set up or changed: its sheets hang on walls, and its list says who may serve."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Event, Site, User

from . import audit, roles
from .errors import refuse_if


def record(
    site: Site, *, by: User, is_new: bool, fields: Mapping[str, Sequence[str]], trainees: Sequence[int] = ()
) -> Event:
    """Record a saved site.

    Args:
        site: as it is now.
        by: who saved it.
        is_new: whether it was set up just now.
        fields: what it was and what it is now, by field, as text.
        trainees: keys of those who came onto its list or were changed; the trail outlives names, so it keeps none.

    Raises:
        Refused: not allowed.
    """
    refuse_if(roles.refusals(by, ["guides.change_site"], _("change sites")))
    verb = Verb.CREATED if is_new else Verb.CHANGED
    told = {name: list(pair) for name, pair in fields.items()}
    return audit.record(verb, by=by, site=site.pk, name=site.name, fields=told, trainees=list(trainees))
