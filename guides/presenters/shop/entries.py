"""From rows to the shapes of the API, each in one language."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import override

from guides.choices import State, Told, Verb
from guides.models import Coffee, Event, Guide, GuideVersion, Lot, Roastery, Webhook
from guides.presenters import addresses, bag, listing, pictures
from guides.queries import versions
from guides.queries.shop import BesideLot
from guides.queries.windows import days_of

from .shapes import (
    ChangeShape,
    CoffeeNamed,
    CoffeePictureShape,
    CoffeeShape,
    GuideShape,
    IndexShape,
    LotGuide,
    LotShape,
    Recalled,
    RoasteryShape,
    VersionShape,
    WebhookShape,
    Withdrawn,
)

CHANGES = {Verb.PUBLISHED: Told.PUBLISHED, Verb.WITHDRAWN: Told.WITHDRAWN, Verb.RECALLED: Told.RECALLED}
"""What an act of the trail is called here."""


@dataclass(frozen=True)
class Reader:
    """For whom something is written down: the roastery, the language asked for, and the roastery's day."""

    house: Roastery
    language: str
    today: datetime.date

    def pages(self, name: str, **arguments: str) -> dict[str, str]:
        """Give the whole address of a page by language."""
        found = {}
        for code in self.house.languages:
            with override(code):
                found[code] = addresses.absolute(reverse(name, kwargs=arguments))
        return found


def here(name: str, *arguments: object) -> str:
    """Give the whole address of something in the API."""
    return addresses.absolute(reverse(f"api:{name}", args=arguments))


def index(reader: Reader) -> IndexShape:
    named = ("roastery", "coffees", "lots", "guides", "changes", "webhooks")
    return IndexShape(
        description=here("openapi"), pages=reader.pages("api_page"), **{name: here(name) for name in named}
    )


def roastery(reader: Reader) -> RoasteryShape:
    house = reader.house
    return RoasteryShape(
        name=house.name,
        place=house.place,
        site=house.base_address,
        accent=house.accent,
        logo=addresses.absolute(reverse("media", args=[house.logo.name])) if house.logo else "",
        languages=tuple(house.languages),
        time_zone=house.time_zone,
        altitude_m=house.altitude_m,
        tap_hardness_mg_l=house.tap_hardness_mg_l,
        tap_alkalinity_mg_l=house.tap_alkalinity_mg_l,
    )


def coffee(
    row: Coffee,
    guides: Sequence[GuideVersion],
    lots: Sequence[Lot],
    beside: Mapping[int, BesideLot],
    reader: Reader,
) -> CoffeeShape:
    """Give a coffee.

    Args:
        row: with its picture at hand.
        guides: its published guides, from ``queries.shop.guides_of_coffees``.
        lots: its newest lots.
        beside: what belongs to each lot, from ``queries.shop.beside``.
        reader: for whom.
    """
    return CoffeeShape(
        id=row.pk,
        code=row.code,
        name=row.name,
        origin=row.origin,
        process=row.process,
        roast_level=row.roast_level,
        description=row.description,
        gtin=row.gtin,
        on_sale=row.is_current,
        picture=_picture(pictures.of_row(getattr(row, "picture", None), reader.language), reader.language),
        languages=tuple(reader.house.languages),
        pages=reader.pages("coffee", slug=row.slug) if guides else {},
        digital_link=addresses.of_pack(row.gtin) if guides and row.gtin else "",
        guides=tuple(guide(version, reader) for version in guides),
        lots=tuple(lot(each, beside[each.pk], reader) for each in lots),
        address=here("coffee", row.pk),
    )


def guide(version: GuideVersion, reader: Reader) -> GuideShape:
    """Give a guide in one of its revisions, from ``queries.shop.newest_of``."""
    line = listing.line(version, reader.language)
    number = version.guide.number
    return GuideShape(
        number=number,
        revision=line.revision,
        state=version.state,
        title=line.title,
        summary=line.summary,
        words_language=line.lang,
        languages=tuple(versions.languages(version)),
        coffee=_named(version.guide.coffee),
        brewer=line.brewer,
        recipe=line.recipe,
        published_at=_moment(version.published_at),
        withdrawn=_withdrawn(version),
        change_note=version.change_note,
        sha256=version.sha256,
        pages=reader.pages("guide", slug=version.guide.slug),
        address=here("guide", number),
        sheet=here("sheet", number),
        versions=here("versions", number),
    )


def version(row: GuideVersion) -> VersionShape:
    """Give one revision of a guide."""
    number, revision = row.guide.number, row.revision or 0
    return VersionShape(
        guide=number,
        revision=revision,
        state=row.state,
        title=row.title,
        language=row.language,
        languages=tuple(versions.languages(row)),
        published_at=_moment(row.published_at),
        withdrawn=_withdrawn(row),
        change_note=row.change_note,
        calculation_version=row.calculation_version,
        sha256=row.sha256,
        sheet=here("version_sheet", number, revision),
    )


def lot(row: Lot, beside: BesideLot, reader: Reader) -> LotShape:
    """Give a lot with its coffee at hand."""
    facts = bag.lot_facts(row, beside.code, reader.language, reader.today)
    days = days_of(row)
    first, last = (row.roasted_on + datetime.timedelta(days=day) for day in (days.first, days.last))
    gtin = row.coffee.gtin
    return LotShape(
        name=row.name,
        coffee=_named(row.coffee),
        roasted_on=row.roasted_on,
        roast_level=row.effective_roast_level,
        bag_g=row.bag_g,
        best_from=first,
        best_until=last,
        day=facts.day,
        freshness=facts.freshness,
        freshness_key=facts.freshness_key,
        recalled=Recalled(row.recalled_at, row.recall_reason) if row.recalled_at else None,
        guides=tuple(
            LotGuide(each.guide.number, each.revision or 0, here("guide", each.guide.number))
            for each in beside.versions
        ),
        page=addresses.absolute(reverse("bag", args=[beside.code])) if beside.code else "",
        digital_link=addresses.of_pack(gtin, row.name) if gtin else "",
        address=here("lot", row.name),
    )


def change(event: Event, revisions: Mapping[int, int], reader: Reader) -> ChangeShape:
    """Give an act of the trail as shops are told of it; ``revisions`` by the key of a version."""
    about_lot = event.lot is not None
    number = event.guide.number if event.guide else 0
    return ChangeShape(
        id=event.pk,
        type=str(CHANGES[Verb(event.verb)]),
        at=event.at,
        guide=None if about_lot else number,
        revision=None if about_lot else revisions.get(event.version_id or 0),
        lot=event.lot.name if event.lot else None,
        reason=event.reason if event.verb != Verb.PUBLISHED else "",
        address=here("lot", event.lot.name) if event.lot else here("guide", number),
        purge=_changed(event.guide, reader) if event.guide and not about_lot else (),
    )


def trial(row: Webhook, at: datetime.datetime) -> ChangeShape:
    """Give the test that a webhook is sent: nothing happened, so it has no id among the changes and leads to itself."""
    return ChangeShape(
        id=0,
        type="test",
        at=at,
        guide=None,
        revision=None,
        lot=None,
        reason="",
        address=here("webhook", row.pk),
        purge=(),
    )


def webhook(row: Webhook) -> WebhookShape:
    """Give a webhook, without its secret."""
    return WebhookShape(row.pk, row.url, tuple(row.about), row.created_at, here("webhook", row.pk))


def _changed(guide: Guide, reader: Reader) -> tuple[str, ...]:
    """Addresses that may be kept for a while (``public.page.BRIEFLY``) and speak of a guide."""
    pages = [reader.pages(name, slug=guide.slug) for name in ("guide", "guide_card", "screen")]
    pages += [reader.pages("coffee", slug=guide.coffee.slug), reader.pages("home"), reader.pages("feed")]
    found = (address for by_language in pages for address in by_language.values())
    return (*found, addresses.absolute(reverse("sitemap")))


def _named(row: Coffee) -> CoffeeNamed:
    return CoffeeNamed(row.pk, row.name, here("coffee", row.pk))


def _withdrawn(version: GuideVersion) -> Withdrawn | None:
    if version.state != State.WITHDRAWN or version.withdrawn_at is None:
        return None
    instead: Guide | None = version.replacement
    return Withdrawn(version.withdrawn_at, version.withdrawn_reason, instead.number if instead else None)


def _moment(at: datetime.datetime | None) -> datetime.datetime:
    assert at is not None  # noqa: S101 - a constraint holds it for what has a revision
    return at


def _picture(found: pictures.Picture | None, language: str) -> CoffeePictureShape | None:
    if found is None:
        return None
    return CoffeePictureShape(
        src=addresses.absolute(found.src),
        webp=_editions(found.webp),
        jpeg=_editions(found.jpeg),
        width=found.width,
        height=found.height,
        alt=found.alt,
        alt_language=found.alt_language or language,
    )


def _editions(text: str) -> dict[str, str]:
    """Editions by width, from the list that pages hand to browsers."""
    pairs = (part.split(" ") for part in text.split(", ") if part)
    return {width.removesuffix("w"): addresses.absolute(path) for path, width in pairs}
