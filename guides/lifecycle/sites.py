"""Writes down that a site was set up or changed: its sheets hang on walls, and its list says who may serve."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.codes import short_code
from guides.models import Event, Site, User
from guides.queries.code_records import Kind, recorded

from . import audit, code_records, roles
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
        Refused: not allowed, or its code cannot be written down outside the database.
    """
    refuse_if(roles.refusals(by, ["guides.change_site"], _("change sites")))
    if is_new:
        _make_printable(site)
    verb = Verb.CREATED if is_new else Verb.CHANGED
    told = {name: list(pair) for name, pair in fields.items()}
    return audit.record(verb, by=by, site=site.pk, name=site.name, fields=told, trainees=list(trainees))


def _make_printable(site: Site) -> None:
    """Record the code it was given, or another where that is on walls already, before anybody has seen it."""
    taken = recorded(Kind.SITE)
    while site.code in taken:
        site.code = short_code.new()
        site.save(update_fields=["code"])
    code_records.keep_site(site)
