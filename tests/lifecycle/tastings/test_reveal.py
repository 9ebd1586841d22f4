"""The reveal happens once, and not before anybody has tasted."""

from __future__ import annotations

import pytest

from guides.choices import Verb
from guides.lifecycle.errors import Refused
from guides.lifecycle.tastings.reveal import reveal
from guides.models import Event
from tests.factories import UserFactory
from tests.factories.tastings import opened, seated, tasted

pytestmark = pytest.mark.django_db


def test_who_and_when_are_kept():
    by = UserFactory(role="roaster")
    tasting = reveal(tasted(), by=by)
    assert tasting.is_revealed
    assert tasting.revealed_by == by
    assert Event.objects.get(verb=Verb.REVEALED).details == {"tasting": tasting.pk, "title": tasting.title}


def test_not_twice():
    tasting = reveal(tasted(), by=UserFactory(role="roaster"))
    with pytest.raises(Refused, match="revealed already"):
        reveal(tasting, by=UserFactory(role="roaster"))


def test_not_before_notes_are_in():
    tasting = opened()
    seated(tasting)
    with pytest.raises(Refused, match="Nobody has sent notes"):
        reveal(tasting, by=UserFactory(role="roaster"))
