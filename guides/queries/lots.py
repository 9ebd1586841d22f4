"""From a code on a bag to its lot and the guides shown for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from guides.choices import Follow, State
from guides.codes import digital_link, short_code
from guides.models import Address, Assignment, Coffee, GuideVersion, Lot

from . import versions


def by_code(text: str) -> Lot | None:
    """Find the lot behind an address code as printed, typed or scanned; ``None`` for any other text."""
    try:
        code = short_code.normalise(text)
    except short_code.BadCode:
        return None
    address = Address.objects.select_related("lot__coffee", "lot__recalled_by").filter(code=code).first()
    return address.lot if address else None


def by_pack(gtin: str, name: str) -> Lot | None:
    """Find a lot by the GTIN of its pack and its name in either case, as a Digital Link has them."""
    coffee = coffee_by_gtin(gtin)
    return Lot.objects.select_related("coffee").filter(coffee=coffee, name=name.upper()).first() if coffee else None


def coffee_by_gtin(gtin: str) -> Coffee | None:
    """Find the coffee that a GTIN leads to, which may be what its own coffee is part of now."""
    found = Coffee.objects.select_related("merged_into").filter(gtin=gtin).exclude(gtin="").first()
    return found.remaining if found else None


def find(text: str) -> Lot | None:
    """Find a lot by what somebody types or scans: its name in either case, an address code, or a Digital Link."""
    if "/01/" in text:
        return _by_link(text)
    named = Lot.objects.select_related("coffee").filter(name=text.strip().upper()).first()
    return named or by_code(text)


def _by_link(text: str) -> Lot | None:
    try:
        link = digital_link.parse("/01/" + text.strip().partition("/01/")[2].partition("?")[0])
    except digital_link.BadLink:
        return None
    return by_pack(link.gtin, link.lot) if link.lot else None


def code_of(lot: Lot) -> str:
    """Give the code that is printed for a lot: its newest; empty while it has none."""
    newest = Address.objects.filter(lot=lot).order_by("-created_at").first()
    return newest.code if newest else ""


@dataclass(frozen=True)
class Shown:
    """What a lot's page shows of one guide, with every revision of it, newest first."""

    assignment: Assignment
    version: GuideVersion
    revisions: tuple[GuideVersion, ...]


def shown_on(lot: Lot) -> list[Shown]:
    """Give what is shown on a lot's page, guide by guide, in a constant number of queries."""
    assignments = list(
        Assignment.objects.filter(lot=lot).exclude(follow=Follow.HELD).select_related("guide__coffee", "lot__coffee")
    )
    found = list(versions.printed_rows().filter(guide__in=[assignment.guide_id for assignment in assignments]))
    own = ((row, tuple(each for each in found if each.guide_id == row.guide_id)) for row in assignments)
    shown = ((assignment, pick(assignment, revisions), revisions) for assignment, revisions in own)
    return [Shown(assignment, version, revisions) for assignment, version, revisions in shown if version is not None]


def guides_of(lot: Lot) -> list[tuple[Assignment, GuideVersion]]:
    """Give the guides shown for a lot, each with the version shown, in a constant number of queries."""
    return [(shown.assignment, shown.version) for shown in shown_on(lot)]


def showing(version: GuideVersion) -> list[Lot]:
    """Give the lots on whose pages a version is the one shown, by name; recalled lots are left out."""
    assignments = Assignment.objects.filter(guide=version.guide_id, lot__recalled_at__isnull=True)
    assignments = assignments.exclude(follow=Follow.HELD).select_related("lot__coffee", "guide").order_by("lot__name")
    newest = list(versions.history_whole(version.guide))
    shown = ((assignment.lot, pick(assignment, newest)) for assignment in assignments)
    return [lot for lot, found in shown if found is not None and found.pk == version.pk]


def pick(assignment: Assignment, newest_first: Sequence[GuideVersion]) -> GuideVersion | None:
    """Make the same choice as ``versions.shown_for``, from rows already fetched."""
    own = [version for version in newest_first if version.guide_id == assignment.guide_id]
    if assignment.follow == Follow.PINNED:
        return next((version for version in own if version.pk == assignment.pinned_id), None)
    published = [version for version in own if version.state == State.PUBLISHED]
    return next(iter(published or own), None)


def newest_of(coffee: Coffee) -> QuerySet[Lot]:
    """Give a coffee's lots that are not recalled, newest first."""
    return Lot.objects.filter(coffee=coffee, recalled_at__isnull=True).order_by("-roasted_on", "-pk")
