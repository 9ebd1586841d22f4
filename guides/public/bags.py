"""What the code on a bag leads to. A known code always answers; an unknown one always in the same way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe

from guides.choices import State
from guides.codes import short_code
from guides.lifecycle import snapshot
from guides.models import GuideVersion, Lot, Roastery
from guides.presenters import addresses, bag, guide_sheet, listing, meaning, short_difference
from guides.presenters import asked as questions
from guides.presenters.addresses import Edition
from guides.queries import catalogue, house, lots, nearest
from guides.queries.lots import Shown

from . import adapting, counting, errors, page, share, speaking
from .kept import kept


@dataclass(frozen=True)
class Asked:
    """A scanned address, its code as printed, and who answers it in which language."""

    request: HttpRequest
    house: Roastery
    code: str
    edition: Edition | None
    language: str

    def show(
        self,
        template: str,
        context: dict[str, Any],
        preview: page.Preview | None = None,
        things: Sequence[meaning.Thing] = (),
        status: int = 200,
    ) -> HttpResponse:
        tail = {code: self._href(code) for code in self.house.languages}
        response = page.show(
            self.request,
            template,
            {"code": self.code, **context},
            house=self.house,
            language=self.language,
            links=tail,
            status=status,
            cache=page.REVALIDATE,
            preview=preview,
            things=things,
        )
        # A code is for whoever holds the bag.
        response.headers["X-Robots-Tag"] = "noindex"
        patch_vary_headers(response, ["Accept-Language"])
        return response

    def _href(self, language: str) -> str:
        """The same bag in another language: in the tail where there is one, else as a wish."""
        if self.edition is None:
            return reverse("bag", args=[self.code]) + f"?in={language}"
        return reverse("insert", args=[self.code, Edition(self.edition.guide, self.edition.revision, language)])


@require_safe
@kept
def scanned(request: HttpRequest, code: str, tail: str = "") -> HttpResponse:
    """Answer a code from a bag or an insert, in either case."""
    lot = lots.by_code(code)
    if lot is None:
        return errors.not_found(request)
    roastery, edition = house.current(), addresses.read_edition(tail)
    wishes = (request.GET.get("in"), edition.language if edition else None)
    language = speaking.offered(request, roastery.languages, *wishes)
    asked = Asked(request, roastery, short_code.normalise(code), edition, language)
    if lot.is_recalled:
        return _recalled(asked, lot)
    shown = lots.shown_on(lot) if lot.is_public else []
    if not shown:
        return _holding(asked, lot)
    chosen = _chosen(shown, edition)
    return _several(asked, lot, shown) if chosen is None else _one(asked, lot, chosen, shown)


@require_safe
def typed(request: HttpRequest) -> HttpResponse:
    """Take a code that somebody typed in, and send them to its address or say what is wrong with it."""
    text = request.GET.get("code", "").strip()
    try:
        return HttpResponseRedirect(reverse("bag", args=[short_code.normalise(text)]))
    except short_code.BadCode as bad:
        return errors.not_found(request, typed=text[:40], reason=bad.reason if text else "nothing")


def _chosen(shown: list[Shown], edition: Edition | None) -> Shown | None:
    if edition is not None:
        for each in shown:
            if each.version.guide.number == edition.guide:
                return each
    return shown[0] if len(shown) == 1 else None


def _one(asked: Asked, lot: Lot, chosen: Shown, shown: list[Shown]) -> HttpResponse:
    version = chosen.version
    wanted = adapting.shown(
        asked.request,
        version,
        language=asked.language,
        today=timezone.localdate(),
        lot=lot,
        code=asked.code,
        earlier=[past for past in chosen.revisions if _number(past) < _number(version)],
    )
    if wanted.moved:
        return adapting.redirect(wanted.moved)
    sheet = wanted.sheet
    others = [listing.line(other.version, asked.language) for other in shown if other is not chosen]
    context: dict[str, Any] = {**wanted.context, "others": others, **_card(asked, chosen)}
    if version.state == State.WITHDRAWN:
        instead = nearest.to(version)
        context["instead"] = instead and listing.line(instead, asked.language)
    else:
        context["asked"] = questions.beside(version, asked.language, asked.code)
    preview = share.preview(sheet, asked.house, version, personal=wanted.personal)
    things = () if wanted.personal else meaning.of_guide(sheet, lot.coffee, asked.house)
    response = asked.show(wanted.template, context, preview, things, wanted.status)
    return response if wanted.asking else counting.opened(asked.request, response, version.guide_id)


def _several(asked: Asked, lot: Lot, shown: list[Shown]) -> HttpResponse:
    guides = [listing.line(each.version, asked.language) for each in shown]
    facts = _bag(asked, lot)
    return asked.show(
        "bag.html",
        {"coffee": lot.coffee, "bag": facts, "guides": guides},
        page.Preview(lot.coffee.name, lot.coffee.description),
        [meaning.product(lot.coffee, asked.house, asked.language, facts)],
    )


def _holding(asked: Asked, lot: Lot) -> HttpResponse:
    """A bag without a guide yet. A lot that is not public says nothing of what is in it."""
    if not lot.is_public:
        return asked.show("holding.html", {})
    guides = [listing.line(version, asked.language) for version in catalogue.of_coffee(lot.coffee)]
    return asked.show("holding.html", {"coffee": lot.coffee, "bag": _bag(asked, lot), "guides": guides})


def _recalled(asked: Asked, lot: Lot) -> HttpResponse:
    return asked.show("recalled.html", {"coffee": lot.coffee, "bag": _bag(asked, lot)})


def _bag(asked: Asked, lot: Lot) -> guide_sheet.LotFacts:
    return bag.lot_facts(lot, asked.code, asked.language, timezone.localdate())


def _card(asked: Asked, chosen: Shown) -> dict[str, Any]:
    """What to say to whoever holds a card of another revision, or of another guide."""
    version, edition = chosen.version, asked.edition
    if edition is None:
        return {}
    if edition.guide != version.guide.number:
        return {"card_elsewhere": True}
    if edition.revision == version.revision:
        return {}
    history = {_number(past): past for past in chosen.revisions}
    printed = history.get(edition.revision)
    if printed is None:
        return {}
    newer = [history[number] for number in sorted(history) if edition.revision < number <= _number(version)]
    return {
        "card": printed,
        "card_difference": short_difference.between(snapshot.read(printed), snapshot.read(version), asked.language),
        "card_withdrawn": printed.state == State.WITHDRAWN,
        "card_changes": [past.change_note for past in newer if past.change_note],
    }


def _number(version: GuideVersion) -> int:
    return version.revision or 0
