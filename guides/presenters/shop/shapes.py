"""The shapes that the API answers with. Fields are only ever added; every address is whole."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from guides.presenters.sheet import GuideSheet


@dataclass(frozen=True)
class IndexShape:
    """Where everything begins: every list, and what stands alone; single coffees, lots and guides hang on those.

    ``description`` leads to the OpenAPI document, ``pages`` to what explains it to people, by language.
    """

    description: str
    pages: Mapping[str, str]
    roastery: str
    coffees: str
    lots: str
    guides: str
    changes: str
    webhooks: str


@dataclass(frozen=True)
class RoasteryShape:
    """Who publishes. ``languages`` are those that every text is offered in, the main one first.

    ``altitude_m`` is the height above the sea that guides are written for. Hardness and alkalinity of the tap water
    are in mg/L as CaCO3.
    """

    name: str
    place: str
    site: str
    accent: str
    logo: str
    languages: tuple[str, ...]
    time_zone: str
    altitude_m: int
    tap_hardness_mg_l: int | None
    tap_alkalinity_mg_l: int | None


@dataclass(frozen=True)
class CoffeePictureShape:
    """A picture. ``src`` is a JPEG for everybody; ``webp`` and ``jpeg`` lead to editions by their width in pixels.

    ``alt`` says in words what it shows, in ``alt_language``.
    """

    src: str
    webp: Mapping[str, str]
    jpeg: Mapping[str, str]
    width: int
    height: int
    alt: str
    alt_language: str


@dataclass(frozen=True)
class CoffeeNamed:
    """Which coffee something belongs to; ``address`` leads to it here."""

    id: int
    name: str
    address: str


@dataclass(frozen=True)
class Withdrawn:
    """A revision that nobody should brew from any more: since when, why, and the number of a guide to use instead."""

    at: datetime.datetime
    reason: str
    instead: int | None


@dataclass(frozen=True)
class Recalled:
    """A lot that must not be sold or drunk: since when and why."""

    at: datetime.datetime
    reason: str


@dataclass(frozen=True)
class GuideShape:
    """A guide in the revision that counts: the newest published one, else the last of all, which is withdrawn.

    ``number`` is printed on inserts and never changes. ``recipe`` is dose and all water. Words are in
    ``words_language``, which differs from the language asked for where a translation is missing; ``languages`` are
    those it has words in. ``pages`` lead to its page by language, ``sheet`` to the whole of it here. ``sha256`` is the
    hash taken at publishing.
    """

    number: int
    revision: int
    state: str
    title: str
    summary: str
    words_language: str
    languages: tuple[str, ...]
    coffee: CoffeeNamed
    brewer: str
    recipe: str
    published_at: datetime.datetime
    withdrawn: Withdrawn | None
    change_note: str
    sha256: str
    pages: Mapping[str, str]
    address: str
    sheet: str
    versions: str


@dataclass(frozen=True)
class VersionShape:
    """One revision of a guide. It never changes but for being withdrawn."""

    guide: int
    revision: int
    state: str
    title: str
    language: str
    languages: tuple[str, ...]
    published_at: datetime.datetime
    withdrawn: Withdrawn | None
    change_note: str
    calculation_version: str
    sha256: str
    sheet: str


@dataclass(frozen=True)
class LotGuide:
    """A guide that belongs to a lot, in the revision its bags show."""

    number: int
    revision: int
    address: str


@dataclass(frozen=True)
class LotShape:
    """A packed lot. ``name`` is printed on its bags and never changes.

    ``best_from`` and ``best_until`` are its first and last good day; ``day`` counts from roasting, today included.
    ``freshness`` is a sentence in the language asked for, ``freshness_key`` its meaning: ``rest``, ``best`` or
    ``use_soon``. ``page`` is where the code on the bag leads, ``digital_link`` its GS1 Digital Link, if it has one.
    """

    name: str
    coffee: CoffeeNamed
    roasted_on: datetime.date
    roast_level: str
    bag_g: int
    best_from: datetime.date
    best_until: datetime.date
    day: int
    freshness: str
    freshness_key: str
    recalled: Recalled | None
    guides: tuple[LotGuide, ...]
    page: str
    digital_link: str
    address: str


@dataclass(frozen=True)
class CoffeeShape:
    """A coffee with its published guides and its newest lots. ``id`` never changes.

    ``gtin`` is that of the pack, in 14 digits, or empty. ``pages`` lead to its page by language, ``digital_link`` is
    its GS1 Digital Link; both are empty where nothing of it is published now.
    """

    id: int
    code: str
    name: str
    origin: str
    process: str
    roast_level: str
    description: str
    gtin: str
    on_sale: bool
    picture: CoffeePictureShape | None
    languages: tuple[str, ...]
    pages: Mapping[str, str]
    digital_link: str
    guides: tuple[GuideShape, ...]
    lots: tuple[LotShape, ...]
    address: str


@dataclass(frozen=True)
class CoffeeWhole(CoffeeShape):
    """A coffee with all that a shop shows beside it: ``sheets`` are its guides whole, in the language asked for."""

    sheets: tuple[GuideSheet, ...] = ()


@dataclass(frozen=True)
class WebhookShape:
    """An address that is told of changes; ``about`` names which. ``id`` never changes."""

    id: int
    url: str
    about: tuple[str, ...]
    created_at: datetime.datetime
    address: str


@dataclass(frozen=True)
class WebhookMade(WebhookShape):
    """A new webhook with its ``secret``, which is shown this once."""

    secret: str


@dataclass(frozen=True)
class ChangeShape:
    """Something that shops must know: ``type`` is ``guide.published``, ``guide.withdrawn`` or ``lot.recalled``.

    ``id`` never changes and is never used twice. ``guide`` and ``revision`` are of a guide, ``lot`` is the name of a
    lot; ``address`` leads to it here. ``reason`` is what customers are told. ``purge`` are the pages that show
    something else since then and may lie in a cache, for whoever has a CDN in front; those behind a code ask each time.
    """

    id: int
    type: str
    at: datetime.datetime
    guide: int | None
    revision: int | None
    lot: str | None
    reason: str
    address: str
    purge: tuple[str, ...]
