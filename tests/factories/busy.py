"""A site after years of work, made in a few statements: many lots, many published guides."""

from __future__ import annotations

import datetime

from django.db import connection
from django.utils import timezone

from guides.choices import Follow, State
from guides.lifecycle import canonical
from guides.models import Assignment, Coffee, Guide, GuideVersion, Lot, Step, StepText, TrialBrew

from .coffee import CoffeeFactory, LotFactory
from .gear import BrewerFactory
from .guides import PULSES, GuideVersionFactory
from .people import UserFactory


def busy_site(lots: int, guides: int, coffees: int = 40, translated: str = "") -> list[GuideVersion]:
    """Give published versions, one per guide; lots were roasted one a day, the newest two days ago.

    Every lot follows the first guide of its coffee, and every guide has been checked with the newest lot. The steps
    are in the language ``translated`` too, the titles are not.
    """
    start = Coffee.objects.count()
    beans = [CoffeeFactory(code=f"C{start + number}") for number in range(min(coffees, guides))]
    versions = _published(beans, guides, translated)
    made = _lots(beans, lots)
    first = {version.guide.coffee_id: version.guide for version in reversed(versions)}
    Assignment.objects.bulk_create(
        Assignment(lot=lot, guide=first[lot.coffee_id], follow=Follow.NEWEST) for lot in made
    )
    _check_with_newest_lot(versions, made)
    know_sizes()
    return versions


def know_sizes() -> None:
    """Tell PostgreSQL how many rows there are now, as it finds out by itself on a site that lives.

    Inside a test it cannot: it still believes in the empty tables of the test before, and joins them row by row.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def _published(beans: list[Coffee], count: int, translated: str) -> list[GuideVersion]:
    brewer, writer, publisher = BrewerFactory(), UserFactory(role="roaster"), UserFactory(role="publisher")
    start = 5000 + Guide.objects.count()  # far from what the factory of single guides gives
    guides = Guide.objects.bulk_create(
        Guide(number=start + number + 1, slug=f"guide-{start + number + 1}", coffee=beans[number % len(beans)])
        for number in range(count)
    )
    drafts = GuideVersion.objects.bulk_create(
        GuideVersionFactory.build(
            guide=guide, title=f"Guide {guide.number}", brewer=brewer, created_by=writer, steps=()
        )
        for guide in guides
    )
    steps = Step.objects.bulk_create(
        Step(version=draft, position=place, simple="Pour.", **step)
        for draft in drafts
        for place, step in enumerate(PULSES, start=1)
    )
    if translated:
        StepText.objects.bulk_create(StepText(step=step, language=translated, simple="Häll.") for step in steps)
    keys = [draft.pk for draft in drafts]
    GuideVersion.objects.filter(pk__in=keys).update(
        state=State.PUBLISHED,
        revision=1,
        snapshot={},
        sha256=canonical.sha256({}),
        published_at=timezone.now(),
        published_by=publisher,
    )
    return list(GuideVersion.objects.filter(pk__in=keys).select_related("guide").order_by("guide__number"))


def _lots(beans: list[Coffee], count: int) -> list[Lot]:
    today, start = timezone.localdate(), Lot.objects.count()
    return Lot.objects.bulk_create(
        LotFactory.build(
            name=f"L-{start + number:05d}",
            coffee=beans[number % len(beans)],
            roasted_on=today - datetime.timedelta(days=2 + number),
        )
        for number in range(count)
    )


def _check_with_newest_lot(versions: list[GuideVersion], lots: list[Lot]) -> None:
    newest: dict[int, Lot] = {}
    for lot in lots:
        newest.setdefault(lot.coffee_id, lot)
    taster = UserFactory(role="roaster")
    TrialBrew.objects.bulk_create(
        TrialBrew(
            lot=newest[version.guide.coffee_id],
            version=version,
            is_check_brew=True,
            brewed_by=taster,
            brewer=version.brewer,
            dose_g=version.dose_g,
            water_g=version.water_g,
            kettle_c=version.kettle_c,
            grind_um=version.grind_um,
        )
        for version in versions
        if version.guide.coffee_id in newest
    )
