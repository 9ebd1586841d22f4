"""What a page means, for machines: a guide as schema.org's HowTo, a coffee as its Product, in JSON-LD.

Types and properties are those of schema.org's vocabulary; masses carry the UN/CEFACT code GRM, times are ISO 8601
durations. Every word and figure is the sheet's own.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, override

from guides.models import Coffee, Roastery

from . import addresses
from .sheet import Fact, GuideSheet, LotFacts, SheetStep

Thing = dict[str, Any]
# A script element ends at "</script" wherever that stands; as escapes these mean the same to a JSON reader.
_ESCAPES: Final = {ord(sign): f"\\u{ord(sign):04X}" for sign in "<>&\u2028\u2029"}


def script_text(things: Sequence[Thing]) -> SafeString:
    """Give things as text that may stand inside a script element, whatever their words are."""
    whole = {"@context": "https://schema.org", "@graph": list(things)}
    return mark_safe(json.dumps(whole, ensure_ascii=False, separators=(",", ":")).translate(_ESCAPES))  # noqa: S308


def of_guide(sheet: GuideSheet, coffee: Coffee, house: Roastery) -> list[Thing]:
    """Give what a guide's page means: the coffee and how to brew it. A withdrawn guide is not to be followed."""
    things = [product(coffee, house, sheet.language, sheet.lot)]
    return things if sheet.withdrawn else [*things, how_to(sheet, house)]


def how_to(sheet: GuideSheet, house: Roastery) -> Thing:
    """Give a guide as instructions."""
    with override(sheet.language):
        page = addresses.absolute(reverse("guide", args=[sheet.slug]))
        tools = [sheet.brewer, gettext("Kettle"), gettext("Scale"), gettext("Clock")]
        about = _name_of_coffee(sheet.coffee_slug)
    thing: Thing = {
        "@type": "HowTo",
        "@id": f"{page}#guide",
        "url": page,
        "name": sheet.title,
        "inLanguage": sheet.language,
        "totalTime": duration(sheet.ends_s),
        "supply": [_supply(fact) for fact in sheet.ingredients if fact.mass_g is not None],
        "tool": [{"@type": "HowToTool", "name": name} for name in tools],
        "step": [_step(step, page) for step in sheet.steps],
        "about": {"@id": about},
        "publisher": {"@type": "Organization", "name": house.name},
    }
    if sheet.summary:
        thing["description"] = sheet.summary
    if sheet.revision:
        thing["version"] = sheet.revision
    if sheet.published_on:
        thing["datePublished"] = sheet.published_on.isoformat()
    return thing


def product(coffee: Coffee, house: Roastery, language: str, lot: LotFacts | None = None) -> Thing:
    """Give a coffee, or the lot of it that is in one bag."""
    with override(language):
        name = _name_of_coffee(coffee.slug)
    thing: Thing = {
        "@type": "Product",
        "@id": name,
        "url": name.partition("#")[0],
        "name": coffee.name,
        "brand": {"@type": "Brand", "name": house.name},
    }
    if coffee.description:
        thing["description"] = coffee.description
    if coffee.gtin:
        thing["gtin14"] = coffee.gtin
        thing["hasGS1DigitalLink"] = addresses.of_pack(coffee.gtin, lot.name if lot else "")
    if lot:
        thing["productionDate"] = lot.roasted_on.isoformat()
    return thing


def duration(time_s: float) -> str:
    """Give a time as an ISO 8601 duration in minutes and whole seconds: "PT3M20S"."""
    minutes, seconds = divmod(round(time_s), 60)
    return "PT" + (f"{minutes}M" if minutes else "") + (f"{seconds}S" if seconds or not minutes else "")


def _name_of_coffee(slug: str) -> str:
    return addresses.absolute(reverse("coffee", args=[slug])) + "#coffee"


def _supply(fact: Fact) -> Thing:
    low, high = fact.mass_g or (0.0, 0.0)
    mass: Mapping[str, float] = {"value": low} if low == high else {"minValue": low, "maxValue": high}
    return {
        "@type": "HowToSupply",
        "name": fact.label,
        "requiredQuantity": {"@type": "QuantitativeValue", **mass, "unitCode": "GRM"},
    }


def _step(step: SheetStep, page: str) -> Thing:
    return {
        "@type": "HowToStep",
        "position": step.number,
        "name": f"{step.clock} {step.act}",
        "text": step.simple or step.act,
        "url": f"{page}#step-{step.number}",
    }
