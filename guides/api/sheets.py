"""Whole guides: the very sheet that the page and the insert show, as published or made one reader's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.utils.translation import override
from rest_framework.exceptions import NotFound

from guides.choices import State
from guides.models import Guide, GuideVersion, Lot
from guides.presenters import adapt_request, adapted_sheet, guide_sheet, problem_words
from guides.presenters.adapt_gear import Refused
from guides.presenters.adapt_request import AdaptRequest
from guides.presenters.numbers import Figures
from guides.presenters.sheet import GuideSheet
from guides.presenters.shop.entries import Reader
from guides.presenters.typed import Problem
from guides.queries import lots, marks, shop, versions
from guides.queries.marks import About, Basis

from .parameters import ADAPTING, LANGUAGE, LOT
from .problems import BadRequest, FieldProblem
from .view import Reading
from .views import NOT_PUBLISHED, lot_named, one


class SheetView(Reading):
    """A guide whole, as its page shows it, in any language.

    With a lot, in the revision that the lot's bags show. With any of the other parameters it is made the reader's own,
    and ``adapted`` says what changed, why and how sure that is. Texts named ``in_depth`` and ``why`` are Markdown;
    drawings are SVG in ``currentColor``.
    """

    tag, name, shape = "Guides", "sheet", GuideSheet
    parameters = (LANGUAGE, LOT, *ADAPTING)

    def basis(self, number: int) -> Basis:
        whole = marks.of_guide(number) | _asked_for(self.asked)
        return whole | marks.of_lot(self.asked["lot"]) if "lot" in self.asked else whole

    def found(self, number: int) -> GuideSheet:
        guide: Guide = one(shop.guides(), number=number)
        lot = lot_named(self.asked["lot"]) if "lot" in self.asked else None
        version = _counting(guide) if lot is None else _beside(lot, guide)
        if version is None:
            raise NotFound(NOT_PUBLISHED)
        return sheet_for(version, lot, {name: str(text) for name, text in self.asked.items()}, self.reader())


class VersionSheetView(Reading):
    """One revision of a guide whole, in any language, as published or made the reader's own."""

    tag, name, shape = "Guides", "version_sheet", GuideSheet
    parameters = (LANGUAGE, *ADAPTING)

    def basis(self, number: int, revision: int) -> Basis:
        whole = marks.of_versions(guide__number=number, revision=revision) | _asked_for(self.asked)
        return whole | marks.of(About.COFFEE, Guide.objects.filter(number=number).values("coffee"))

    def found(self, number: int, revision: int) -> GuideSheet:
        version = versions.printed(number, revision)
        if version is None:
            raise NotFound(NOT_PUBLISHED)
        return sheet_for(version, None, {name: str(text) for name, text in self.asked.items()}, self.reader())


def _asked_for(asked: Mapping[str, Any]) -> Basis:
    """What was published never changes; what is made a reader's own rests on the roastery's gear and more."""
    own = bool(set(asked) - {"language", "lot"})
    return replace(marks.any_of(About.HOUSE), daily=own, whole_site=own)


def sheet_for(version: GuideVersion, lot: Lot | None, asked: dict[str, str], reader: Reader) -> GuideSheet:
    """Build a sheet as a request asks for it; a withdrawn guide is made nobody's own.

    Raises:
        BadRequest: a wish that cannot be read or met, with its reason in the reader's language.
    """
    language, today = reader.language, reader.today
    parsed = adapt_request.parse(asked)
    if parsed.request is None:
        raise _refused(parsed.problems, parsed.request, language)
    if parsed.request == AdaptRequest() or version.state == State.WITHDRAWN:
        return guide_sheet.build(version, lot=lot, language=language, today=today)
    try:
        return adapted_sheet.build(version, parsed.request, lot=lot, language=language, today=today)
    except Refused as refused:
        raise _refused(refused.problems, parsed.request, language) from refused


def _refused(problems: tuple[Problem, ...], asked: AdaptRequest | None, language: str) -> BadRequest:
    figures = Figures(language, (asked or AdaptRequest()).units)
    with override(language):
        return BadRequest(
            *(FieldProblem(each.field, each.code, problem_words.message(each, figures)) for each in problems)
        )


def _counting(guide: Guide) -> GuideVersion | None:
    return versions.current(guide) or versions.history_whole(guide).first()


def _beside(lot: Lot, guide: Guide) -> GuideVersion | None:
    return next((version for _row, version in lots.guides_of(lot) if version.guide_id == guide.pk), None)
