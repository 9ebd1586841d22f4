"""Roastery, staff, gear, coffees and lots."""

from __future__ import annotations

import datetime
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.contrib.auth.models import Group

from guides.lifecycle import lots
from guides.models import (
    Brewer,
    Coffee,
    GreenLot,
    Grinder,
    GrinderPoint,
    Lot,
    LotPart,
    Paper,
    Roast,
    Roastery,
    User,
    ValveBase,
    Vessel,
)

from . import pictures

FOLDER = Path(__file__).parent
PASSWORD = "mossgull-by-the-sea"  # noqa: S105 - printed at every start of the demo and good for nothing else
Table = dict[str, Any]


def read(name: str) -> Table:
    """Read one TOML file of the demo; decimals stay exact."""
    with (FOLDER / name).open("rb") as file:
        return tomllib.load(file, parse_float=Decimal)


def build(today: datetime.date) -> None:
    """Lay out everything that guides are written about."""
    world = read("world.toml")
    Roastery.objects.create(is_demo=True, **world["roastery"])
    staff = _staff(world["staff"])
    _gear(world)
    coffees = {table["code"]: Coffee.objects.create(**table) for table in world["coffees"]}
    pictures.draw(coffees)
    for table in world["lots"]:
        _lot(table, coffees[table["coffee"]], today, by=staff["ilmo"])


def _staff(tables: list[Table]) -> dict[str, User]:
    people = {}
    for table in tables:
        group = Group.objects.get(name=table.pop("group"))
        user = User.objects.create_user(password=PASSWORD, is_staff=True, **table)
        user.groups.add(group)
        people[user.username] = user
    return people


def _gear(world: Table) -> None:
    papers = {table["name"]: Paper.objects.create(**table) for table in world["papers"]}
    bases = {table["name"]: ValveBase.objects.create(**table) for table in world["bases"]}
    vessels = {}
    for table in world["vessels"]:
        fitting_papers, fitting_bases = table.pop("papers"), table.pop("bases")
        vessel = vessels[table["name"]] = Vessel.objects.create(**table)
        vessel.fits_papers.set(papers[name] for name in fitting_papers)
        vessel.fits_bases.set(bases[name] for name in fitting_bases)
    for table in world["brewers"]:
        brewer = Brewer(
            name=table["name"],
            slug=table["slug"],
            outflow=table["outflow"],
            vessel=vessels[table["vessel"]],
            valve_base=bases.get(table.get("base")),
            paper=papers.get(table.get("paper")),
        )
        brewer.full_clean()
        brewer.save()
    for table in world["grinders"]:
        points = table.pop("points")
        grinder = Grinder.objects.create(**table)
        for setting, median_um in points:
            GrinderPoint.objects.create(grinder=grinder, setting=setting, median_um=median_um)


def _lot(table: Table, coffee: Coffee, today: datetime.date, *, by: User) -> None:
    roasted_on = today - datetime.timedelta(days=table["age_days"])
    green_kg, loss_percent = table["green_kg"], table["loss_percent"]
    roasted_kg = (green_kg * (1 - loss_percent / 100)).quantize(Decimal("0.01"))
    kept_kg = Decimal("0.3")
    green, _made = GreenLot.objects.get_or_create(
        name=table["green_lot"], defaults={"origin": coffee.origin, "mass_kg": Decimal(60)}
    )
    roast = Roast.objects.create(
        name=f"{table['name']} R1", green_lot=green, roasted_on=roasted_on, green_kg=green_kg, roasted_kg=roasted_kg
    )
    lot = Lot(
        name=table["name"],
        coffee=coffee,
        roasted_on=roasted_on,
        green_kg=green_kg,
        loss_percent=loss_percent,
        qc_kg=kept_kg,
        gas=table["gas"],
    )
    lots.register(lot, by=by)
    LotPart.objects.create(lot=lot, roast=roast, mass_kg=roasted_kg - kept_kg)
