"""Where a withdrawn guide sends its readers."""

from __future__ import annotations

from guides.models import GuideVersion

from . import catalogue, versions


def to(withdrawn: GuideVersion) -> GuideVersion | None:
    """Give the published version nearest to a withdrawn one.

    The guide's own newest revision, else the guide named as its replacement, else one of the same coffee, in the same
    brewer if there is one.
    """
    own = versions.current(withdrawn.guide)
    if own is not None:
        return own
    if withdrawn.replacement is not None:
        named = versions.current(withdrawn.replacement)
        if named is not None:
            return named
    same_coffee = catalogue.of_coffee(withdrawn.guide.coffee)
    same_brewer = (version for version in same_coffee if version.brewer_id == withdrawn.brewer_id)
    return next(same_brewer, next(iter(same_coffee), None))
