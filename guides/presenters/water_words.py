"""What water somebody brews with, as far as it is known."""

from __future__ import annotations

from django.utils.translation import gettext

from .numbers import Figures


def said(hardness_mg_l: int | None, alkalinity_mg_l: int | None, figures: Figures) -> list[str]:
    """Say hardness and alkalinity, in the language that is active; nothing of what nobody has measured."""
    return [
        words % {"much": figures.milligrams_per_litre(value)}
        for value, words in (
            (hardness_mg_l, gettext("hardness %(much)s")),
            (alkalinity_mg_l, gettext("alkalinity %(much)s")),
        )
        if value is not None
    ]
