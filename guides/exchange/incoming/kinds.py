"""Which lists can come in, and what each of their columns fills. What a column takes follows from the model's field.

A heading is the field's own word or its name in any language of the site; our own lists go out with the words.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

from django.db import models
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from guides.models import Coffee, GreenLot, Grinder, GrinderPoint, Lot, LotPart, Roast

from .cells import in_every_language


@dataclass(frozen=True)
class Kind:
    """A list: one model's rows, told apart by ``key``.

    ``links`` names, for each reference, the fields of the other row by which a cell may call it. ``made_from`` names
    the field that gives a new row's address word where none is written. ``told`` are columns of our own lists that
    only inform.
    """

    name: str
    title: str | Promise
    model: type[models.Model]
    key: tuple[str, ...]
    columns: tuple[str, ...]
    links: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    made_from: Mapping[str, str] = field(default_factory=dict)
    told: tuple[str, ...] = ()

    @cached_property
    def fields(self) -> dict[str, models.Field]:
        return {name: self.model._meta.get_field(name) for name in self.columns}  # type: ignore[misc]

    @cached_property
    def needed(self) -> frozenset[str]:
        """Columns that a new row cannot do without."""
        return frozenset(
            name
            for name, column in self.fields.items()
            if not column.blank and not column.has_default() and name not in self.made_from
        )

    def headings(self) -> dict[str, str]:
        """Give every heading that is understood, in small letters, and the column it leads to."""
        known = {name: name for name in (*self.columns, *self.told)}
        for name, column in self.fields.items():
            known |= {label.casefold(): name for label in in_every_language(column.verbose_name)}
        return known

    def __hash__(self) -> int:
        return hash(self.name)


def _kind(*args: Any, **kwargs: Any) -> tuple[str, Kind]:
    made = Kind(*args, **kwargs)
    return made.name, made


KINDS: Final[dict[str, Kind]] = dict(
    [
        _kind(
            "coffees",
            _("coffees"),
            Coffee,
            key=("code",),
            columns=(
                "code", "name", "slug", "origin", "process", "roast_level", "description", "gtin", "is_current",
            ),
            made_from={"slug": "name"},
        ),
        _kind(
            "green-lots",
            _("green lots"),
            GreenLot,
            key=("name",),
            columns=("name", "origin", "supplier_reference", "arrived_on", "mass_kg"),
        ),
        _kind(
            "roasts",
            _("roasts"),
            Roast,
            key=("name",),
            columns=("name", "green_lot", "roasted_on", "green_kg", "roasted_kg"),
            links={"green_lot": ("name",)},
        ),
        _kind(
            "lots",
            _("lots"),
            Lot,
            key=("name",),
            columns=(
                "name", "coffee", "roasted_on", "roast_level", "green_kg", "loss_percent", "qc_kg", "bag_g", "gas",
                "gas_on", "rest_days", "best_days", "is_public",
            ),
            links={"coffee": ("code", "name")},
            told=("address_code",),
        ),
        _kind(
            "lot-parts",
            _("parts of a lot"),
            LotPart,
            key=("lot", "roast"),
            columns=("lot", "roast", "mass_kg"),
            links={"lot": ("name",), "roast": ("name",)},
        ),
        _kind(
            "grinders",
            _("grinders"),
            Grinder,
            key=("name",),
            columns=("name", "slug", "setting_word", "step"),
            made_from={"slug": "name"},
        ),
        _kind(
            "grinder-points",
            _("calibration points"),
            GrinderPoint,
            key=("grinder", "setting"),
            columns=("grinder", "setting", "median_um", "measured_by"),
            links={"grinder": ("name", "slug")},
        ),
    ]
)  # fmt: skip
"""By name, in the order in which a roastery moving in brings them: what others refer to comes first."""


def of(model: type[models.Model]) -> Iterable[Kind]:
    """Give the lists that fill a model."""
    return [kind for kind in KINDS.values() if kind.model is model]
