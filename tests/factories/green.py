"""Green coffee, its roasts, and the lots filled from them."""

from __future__ import annotations

import datetime
from decimal import Decimal
from itertools import count

from django.utils import timezone

from guides.models import GreenLot, Lot, LotPart, Roast

_number = count(1)


def green_lot(**fields: object) -> GreenLot:
    number = next(_number)
    return GreenLot.objects.create(**{"name": f"Rope Walk, crop {number}", "mass_kg": Decimal(60), **fields})


def roasted(green: GreenLot | None = None, **fields: object) -> Roast:
    """A roast of 12 kg that lost 13.6 %."""
    usual = {"green_kg": Decimal("12.00"), "roasted_kg": Decimal("10.37")}
    day = timezone.localdate() - datetime.timedelta(days=12)
    named = {"name": f"RW R{next(_number)}", "green_lot": green or green_lot(), "roasted_on": day}
    return Roast.objects.create(**{**named, **usual, **fields})


def filled(lot: Lot, roast: Roast, mass_kg: str = "10.07") -> Lot:
    LotPart.objects.create(lot=lot, roast=roast, mass_kg=Decimal(mass_kg))
    return lot
