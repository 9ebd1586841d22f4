"""What customers brewed and sent, and what staff and guests tasted blind. Times, choices and notes are invented."""

from __future__ import annotations

import datetime
import secrets
from typing import Final

from guides.lifecycle import home_brew, snapshot
from guides.lifecycle.form_token import FormToken
from guides.lifecycle.tastings.join import join
from guides.lifecycle.tastings.open import open_tasting
from guides.lifecycle.tastings.reveal import reveal
from guides.lifecycle.tastings.send import send
from guides.models import Guide, Lot, User
from guides.queries import versions

from .clock import moment

# Seconds drained, by guide and by the address word of a grinder; empty: not said.
_BREWS = {
    1: {
        "thimble": (168, 171, 172, 176, 178, 178, 183, 185, 194),
        "harrow": (166, 174, 177, 181, 188),
        "own": (158, 179, 197, 205, 214),
        "": (172, 186),
    },
    2: {"thimble": (188, 196, 199, 203, 206, 211, 224), "harrow": (195, 201, 204)},
}
_TASTED: Final[tuple[tuple[str, str, dict[str, str]], ...]] = (
    ("T. A.", "OM-084", {"OM-084": "Tea rose, long", "OM-071": "Flat at the end"}),
    ("I.", "OM-084", {"OM-084": "Bergamot"}),
    ("", "OM-071", {"OM-071": "Rounder"}),
    ("R.", "OM-084", {"OM-071": "Papery", "OM-084": "Clear"}),
    ("", "OM-084", {}),
)


def play(today: datetime.date) -> None:
    """Send the brews; open a tasting of the old crop against the new, and reveal it."""
    for number, by_grinder in _BREWS.items():
        version = versions.current(Guide.objects.get(number=number))
        assert version is not None  # noqa: S101 - every guide of the demo is published
        kept = snapshot.read(version)
        for grinder, times in by_grinder.items():
            for drained_s in times:
                words = f"{kept.words_in('en').title}\ndrained {drained_s // 60}:{drained_s % 60:02d}"
                home_brew.take(
                    version, kept, token=_token(), language="en", text=words, drained=str(drained_s), grinder=grinder
                )
    _taste(today)


def _taste(today: datetime.date) -> None:
    tove = User.objects.get(username="tove")
    lots = {name: Lot.objects.get(name=name) for name in ("OM-071", "OM-084")}
    tasting = open_tasting(
        "preference", "Outer Mark, old crop or new", list(lots.values()), by=tove, at=moment(today, 2, hour=13)
    )
    code_of = {cup.lot.name: cup.code for cup in tasting.cups.select_related("lot") if cup.lot}
    for name, liked, notes in _TASTED:
        taster = join(tasting, token=_token(), name=name)
        written = {code_of[lot]: text for lot, text in notes.items()}
        send(taster, token=_token(), notes=written, choice=code_of[liked])
    reveal(tasting, by=tove, at=moment(today, 2, hour=14))


def _token() -> FormToken:
    """In place of the form that a person would have opened."""
    return FormToken(secrets.token_urlsafe(18))
