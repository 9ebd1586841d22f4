"""A training room up in the mountains, where guide 2 asks for hotter water than there is; and who learns there."""

from __future__ import annotations

import datetime

from guides.lifecycle.sign_off import sign_off
from guides.models import Brewer, Grinder, Guide, Site, Trainee, User

from .clock import moment

_TAUGHT = (1, 2)
_BREWERS = ("Tidegate S", "Mast cone")
_TRAINEES = ("Brisa", "Mirel", "Tadu")


def open_training_room(today: datetime.date) -> None:
    """Two are signed off for what was published then; one of them again since the new crop's revision."""
    tove = User.objects.get(username="tove")
    site = Site(
        name="Three Larches training room",
        place="Valdorra",
        altitude_m=1480,
        tap_hardness_mg_l=210,
        tap_alkalinity_mg_l=190,
        grinder=Grinder.objects.get(slug="harrow"),
    )
    site.full_clean()
    site.save()
    site.brewers.set(Brewer.objects.filter(name__in=_BREWERS))
    guides = list(Guide.objects.filter(number__in=_TAUGHT).order_by("number"))
    site.guides.set(guides)
    trainees = [Trainee.objects.create(site=site, name=name) for name in _TRAINEES]
    for guide in guides:
        sign_off(site, guide, trainees[:2], by=tove, at=moment(today, 6, hour=15))
    sign_off(site, guides[1], trainees[:1], by=tove, at=moment(today, 2, hour=15))
