"""Which stored pictures and clips customers may see."""

from __future__ import annotations

from guides.choices import FROZEN_STATES
from guides.models import CoffeePicture, Roastery, StepClip, StepPicture


def is_public(stem: str) -> bool:
    """Say whether a picture or clip belongs to something published: a coffee, the roastery, or a version's step.

    Args:
        stem: what leads its stored name, 32 hexadecimal digits.
    """
    frozen = {"step__version__state__in": FROZEN_STATES}
    return (
        StepPicture.objects.filter(name=stem, **frozen).exists()
        or CoffeePicture.objects.filter(name=stem).exists()
        or StepClip.objects.filter(name=stem, **frozen).exists()
        or StepClip.objects.filter(file__startswith=f"clips/{stem}.", **frozen).exists()
        or Roastery.objects.filter(logo__startswith=f"pictures/{stem}-").exists()
    )
