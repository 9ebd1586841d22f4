"""Signs trainees off for a guide as it stands; a revision with other numbers or steps asks again."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import Verb
from guides.models import Guide, GuideVersion, SignOff, Site, Trainee, User
from guides.queries import versions

from . import audit, roles, snapshot
from .errors import Refusal, refuse_if


def sign_off(
    site: Site, guide: Guide, trainees: Sequence[Trainee], *, by: User, at: datetime.datetime | None = None
) -> list[SignOff]:
    """Write down that a trainer has seen trainees brew a guide as it is written now.

    Args:
        site: where.
        guide: one that is taught there.
        trainees: of that site.
        by: the trainer.
        at: when; now if not given.

    Raises:
        Refused: not allowed, nobody chosen, somebody of another site or who has left, or nothing published.
    """
    version = versions.current(guide, at=at)
    refusals = roles.refusals(by, ["guides.sign_off_trainee"], _("sign trainees off"))
    if not trainees:
        refusals.append(Refusal(_("Choose who has brewed it."), "trainees"))
    strangers = [each.name for each in trainees if each.site_id != site.pk or each.has_left]
    if strangers:
        text = _("Not on this site's list: {names}.")
        refusals.append(Refusal(format_lazy(text, names=", ".join(strangers)), "trainees"))
    if version is None or version.withdrawn_at is not None or not site.guides.filter(pk=guide.pk).exists():
        refusals.append(Refusal(_("This guide is not taught here, or not published. Choose another."), "guide"))
    refuse_if(refusals)
    assert version is not None  # noqa: S101 - refused above; this tells the type checker
    with transaction.atomic():
        audit.record(
            Verb.SIGNED_OFF, by=by, at=at, version=version, site=site.pk, trainees=[each.pk for each in trainees]
        )
        return [
            SignOff.objects.create(trainee=each, version=version, signed_by=by, signed_at=at or timezone.now())
            for each in trainees
        ]


def still_good(signed: GuideVersion, now: GuideVersion) -> bool:
    """Say whether a sign-off for one revision holds for another: the plan and the roaster's own words are equal.

    A translation that came later asks nobody to brew again.
    """
    if signed.pk == now.pk:
        return True
    was, new = snapshot.read(signed), snapshot.read(now)
    own = new.language
    return was.plan == new.plan and was.language == own and was.words.get(own) == new.words.get(own)
