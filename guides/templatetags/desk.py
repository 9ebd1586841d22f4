"""What the roaster's desk says about the roastery."""

from django import template
from django.utils.translation import gettext as _

from guides.models import Roastery, Step
from guides.presenters import numbers

register = template.Library()


@register.simple_tag
def roastery_name() -> str:
    """The name at the head of the desk; a plain word until the roastery has one."""
    return Roastery.objects.values_list("name", flat=True).first() or _("Roastery")


@register.filter
def clock(step: Step) -> str:
    """From and to of a step on the clock."""
    return numbers.clock_span(step.start_s, step.end_s)
