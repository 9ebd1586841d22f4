"""What a second person needs at a version: to compare it."""

from __future__ import annotations

from .differences import Differences


class Reviewed(Differences):
    """Adds the pages of a review to the versions."""
