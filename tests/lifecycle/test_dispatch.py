"""Where bags went: written once, put right by a further line, and nothing of a recalled lot goes out."""

from __future__ import annotations

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from guides.choices import Outlet
from guides.lifecycle import recall
from guides.lifecycle.dispatch import dispatch
from guides.models import Dispatch, Event, User
from tests.factories import LotFactory

from .conftest import refused

pytestmark = [pytest.mark.django_db, pytest.mark.data]


def test_a_line_is_kept_with_who_and_when(packer: User) -> None:
    lot = LotFactory()
    row = dispatch(lot, Outlet.CAFE, 5, by=packer, place=" Lantern Quay café ")
    assert (row.place, row.bags, row.on, row.recorded_by) == ("Lantern Quay café", 5, timezone.localdate(), packer)
    assert Event.objects.get(lot=lot).details == {"bags": 5, "outlet": "cafe", "place": "Lantern Quay café"}


def test_bags_come_back_as_far_as_they_went(packer: User) -> None:
    lot = LotFactory()
    dispatch(lot, Outlet.WEB, 5, by=packer)
    dispatch(lot, Outlet.WEB, -5, by=packer)
    with refused("1 cannot come back from where 0 went", "bags"):
        dispatch(lot, Outlet.WEB, -1, by=packer)
    with refused("cannot come back", "bags"):
        dispatch(lot, Outlet.SHELF, -1, by=packer)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"outlet": Outlet.CAFE}, "name the café"),
        ({"bags": 0}, "1 or more"),
        ({"on": timezone.localdate() + datetime.timedelta(days=1)}, "still to come"),
        ({"outlet": "moon"}, "not a valid choice"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(packer: User, fields: dict, said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        dispatch(LotFactory(), **{"outlet": Outlet.SHELF, "bags": 3, "by": packer, **fields})
    assert not Dispatch.objects.exists()


def test_bags_of_a_recalled_lot_come_back_and_do_not_go_out(packer: User, publisher: User) -> None:
    lot = LotFactory()
    dispatch(lot, Outlet.SHELF, 12, by=packer)
    recall.recall(lot, by=publisher, reason="A screw may be in the coffee.")
    with refused("Its bags stay here", "bags"):
        dispatch(lot, Outlet.SHELF, 1, by=packer)
    dispatch(lot, Outlet.SHELF, -12, by=packer)
