"""Blind tastings as the lifecycle opens them, and tasters who have joined."""

from __future__ import annotations

from guides.lifecycle.form_token import FormToken
from guides.lifecycle.tastings.join import join
from guides.lifecycle.tastings.open import open_tasting
from guides.lifecycle.tastings.send import send
from guides.models import CupNote, Lot, Taster, Tasting, TastingCup

from .coffee import LotFactory
from .people import UserFactory

_tokens = iter(range(10**9))


def token() -> FormToken:
    """One that no form has had."""
    return FormToken(f"test-{next(_tokens)}")


def opened(kind: str = "preference", count: int = 2, things: list[Lot] | None = None) -> Tasting:
    """A tasting of so many lots."""
    lots = things or LotFactory.create_batch(count)
    return open_tasting(kind, "Old crop or new", lots, by=UserFactory(role="roaster"))


def seated(tasting: Tasting | None = None) -> Taster:
    return join(tasting or opened(), token=token())


def tasted(tasting: Tasting | None = None, choice: str = "") -> Tasting:
    """One in which somebody has sent notes."""
    taster = seated(tasting)
    send(taster, token=token(), notes={taster.order[0]: "Tea rose"}, choice=choice or taster.order[0])
    return taster.tasting


def cup() -> TastingCup:
    found = opened().cups.first()
    assert found is not None
    return found


def cup_note() -> CupNote:
    taster = seated()
    made = taster.tasting.cups.get(code=taster.order[0])
    return CupNote.objects.create(taster=taster, cup=made, text="Tea rose")
