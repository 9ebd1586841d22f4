"""What has changed in the grind since the bag a reader brewed before, for their phone to choose from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, override

from guides.models import GuideVersion

from .numbers import Figures


@dataclass(frozen=True)
class Since:
    """What to say to whoever brewed an earlier revision: how the grind moved, and why, as the roaster noted it."""

    revision: int
    grind: str
    notes: tuple[str, ...]


def since(version: GuideVersion, earlier: Sequence[GuideVersion], language: str) -> tuple[Since, ...]:
    """Give what to say for each earlier revision whose grind was another.

    Args:
        version: the one shown.
        earlier: the revisions before it, newest first.
        language: of the words; the roaster's notes stay in theirs.
    """
    with override(language):
        return tuple(
            Since(old.revision or 0, _moved(version, old, Figures(language)), _notes(version, earlier, old))
            for old in earlier
            if old.grind_um != version.grind_um
        )


def _moved(version: GuideVersion, old: GuideVersion, figures: Figures) -> str:
    much = {"much": figures.micrometres(abs(version.grind_um - old.grind_um))}
    return gettext("%(much)s coarser") % much if version.grind_um > old.grind_um else gettext("%(much)s finer") % much


def _notes(version: GuideVersion, earlier: Sequence[GuideVersion], old: GuideVersion) -> tuple[str, ...]:
    later = [each for each in reversed(earlier) if (each.revision or 0) > (old.revision or 0)]
    return tuple(each.change_note for each in (*later, version) if each.change_note)
