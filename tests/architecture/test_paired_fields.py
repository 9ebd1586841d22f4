"""Who did something and when stand or fall together, in every model, by the database itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from django.apps import apps
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from guides.models import (
    ApiToken,
    GreenLot,
    GuideVersion,
    Lot,
    PackingRun,
    Question,
    ReviewComment,
    Roast,
    Tasting,
    TrialBrew,
    Webhook,
)
from tests.factories import (
    GuideVersionFactory,
    LotFactory,
    PackingRunFactory,
    ReviewCommentFactory,
    TrialBrewFactory,
    UserFactory,
    published,
)
from tests.factories.green import green_lot, roasted
from tests.factories.programs import issued, told
from tests.factories.questions import asked
from tests.factories.tastings import opened

# A first version is begun in a form, a moment before its writer is written down (lifecycle.draft.record_created).
APART = {("GuideVersion", "created")}
MAKE: dict[type[models.Model], Callable[[], models.Model]] = {
    GuideVersion: GuideVersionFactory,
    GreenLot: green_lot,
    Lot: LotFactory,
    PackingRun: PackingRunFactory,
    ReviewComment: ReviewCommentFactory,
    TrialBrew: TrialBrewFactory,
    Roast: roasted,
    Question: lambda: asked(published()),
    Tasting: opened,
    ApiToken: lambda: issued()[0],
    Webhook: told,
}


def pairs() -> Iterator[tuple[type[models.Model], str]]:
    for model in apps.get_app_config("guides").get_models():
        names = {field.name for field in model._meta.concrete_fields}
        for name in sorted(names):
            act = name.removesuffix("_at")
            if act != name and f"{act}_by" in names and (model.__name__, act) not in APART:
                yield model, act


PAIRS = list(pairs())


def test_the_pairs_are_found() -> None:
    assert {(model.__name__, act) for model, act in PAIRS} >= {
        ("GuideVersion", "approved"),
        ("GuideVersion", "publish"),
        ("GuideVersion", "published"),
        ("GuideVersion", "submitted"),
        ("GuideVersion", "withdrawn"),
        ("Lot", "recalled"),
        ("Question", "answered"),
        ("TrialBrew", "brewed"),
    }


@pytest.mark.django_db
@pytest.mark.data
@pytest.mark.parametrize(("model", "act"), PAIRS, ids=lambda part: getattr(part, "__name__", part))
def test_neither_stands_alone(model: type[models.Model], act: str) -> None:
    at, by = (model._meta.get_field(f"{act}_{end}") for end in ("at", "by"))
    assert at.null == by.null, "one could be empty while the other is not"
    if not at.null:
        return
    row = MAKE[model]()
    for half in ({f"{act}_at": timezone.now()}, {f"{act}_by": UserFactory()}):
        with pytest.raises(IntegrityError), transaction.atomic():
            model._base_manager.filter(pk=row.pk).update(**half)
