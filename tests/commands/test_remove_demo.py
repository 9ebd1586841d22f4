"""Removing the demo takes all of it, and never a roastery's own work."""

from __future__ import annotations

from collections.abc import Callable
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command

from guides.models import Address, ChangeMark, Coffee, PageStamp, Roastery
from guides.queries import contents
from guides.queries.contents import Contents
from tests.factories import CoffeeFactory

from .site import Site

MARK_AS_DEMO = (
    "from guides.models import Roastery; Roastery.objects.create(name='Mossgull Roasting Room', is_demo=True)"
)


@pytest.mark.django_db
def test_what_a_database_holds() -> None:
    assert contents.found() is Contents.NOTHING
    CoffeeFactory()
    assert contents.found() is Contents.OWN_WORK
    Roastery.objects.create(name="Mossgull Roasting Room", is_demo=True)
    assert contents.found() is Contents.DEMO


@pytest.mark.parametrize("own_roastery", [False, True])
@pytest.mark.django_db
def test_own_work_is_never_removed(own_roastery: bool) -> None:
    CoffeeFactory()
    if own_roastery:
        Roastery.objects.create(name="Ours")
    with pytest.raises(CommandError, match="no demo in this database, which holds a roastery's own work"):
        call_command("remove_demo", interactive=False)
    assert Coffee.objects.count() == 1


@pytest.mark.django_db
def test_it_asks_first() -> None:
    Roastery.objects.create(name="Mossgull Roasting Room", is_demo=True)
    with patch("builtins.input", return_value="y"), pytest.raises(CommandError, match="Nothing was removed"):
        call_command("remove_demo")
    assert contents.found() is Contents.DEMO


@pytest.mark.data
@pytest.mark.django_db(transaction=True)
def test_everything_goes_and_the_guards_stand_again(new_site: Callable[[], Site]) -> None:
    """Published rows and printed codes as well, which nothing else may delete."""
    site, empty = new_site(), new_site()
    site.fill()
    site.run(MARK_AS_DEMO)
    assert site.state()[Address._meta.db_table][0] == 1
    assert "4 files" in site.must("remove_demo", "--no-input")
    empty.set_up()
    left, wanted = site.state(), empty.state()
    assert left["all guards"]
    assert not [name for name in left if name.startswith(("media/", "papers/"))]
    # Stamp and marks tell of everything that went.
    telling = {model._meta.db_table for model in (PageStamp, ChangeMark)}
    tables = [name for name in wanted if name.startswith(("guides_", "auth_user")) and name not in telling]
    assert {name: left[name][0] for name in tables} == {name: wanted[name][0] for name in tables}
