"""Which answers stand beside which step."""

from __future__ import annotations

from django import template

from guides.presenters.asked import FEW, Answered, Asked

register = template.Library()


@register.filter
def at(asked: Asked, place: int) -> tuple[Answered, ...]:
    """Every answer of a step; of the guide as a whole for 0."""
    return asked.at(place)


@register.filter
def few(answers: tuple[Answered, ...]) -> tuple[Answered, ...]:
    """Those that stand on the guide's own page."""
    return answers[:FEW]
