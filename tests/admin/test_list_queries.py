"""Every list of the desk costs as many queries for three hundred rows as for one."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.contrib import admin
from django.contrib.auth.models import Group
from django.db import connection
from django.db.models import Model
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from guides import models
from guides.choices import Verb
from guides.codes import short_code
from tests import factories
from tests.factories.busy import busy_site, know_sizes

pytestmark = [pytest.mark.django_db, pytest.mark.data]

# One row by its own rule.
SINGLE = {models.Roastery}


def _plain(factory: Any) -> Callable[[int], None]:
    def make(count: int) -> None:
        factory._meta.model.objects.bulk_create(factory.build_batch(count))

    return make


def _rows(model: type[Model], **values: Callable[[int], Any]) -> Callable[[int], None]:
    def make(count: int) -> None:
        start = model._default_manager.count()
        model._default_manager.bulk_create(
            model(**{name: value(start + number) for name, value in values.items()}) for number in range(count)
        )

    return make


def _lots(count: int) -> None:
    busy_site(count, 1, coffees=1)


def _guides(count: int) -> None:
    busy_site(1, count, coffees=count)


def _brews(count: int) -> None:
    busy_site(count, count, coffees=count)


def _events(count: int) -> None:
    user, lot, guide = factories.UserFactory(), factories.LotFactory(), factories.GuideFactory()
    rows = (models.Event(by=user, verb=Verb.CREATED, lot=lot, guide=guide) for _ in range(count))
    models.Event.objects.bulk_create(rows)


def _addresses(count: int) -> None:
    lots = factories.LotFactory.build_batch(count, coffee=factories.CoffeeFactory())
    models.Lot.objects.bulk_create(lots)
    models.Address.objects.bulk_create(models.Address(code=short_code.new(), lot=lot) for lot in lots)


def _opens(count: int) -> None:
    guides = factories.GuideFactory.create_batch(count)
    day = timezone.localdate()
    models.GuideOpens.objects.bulk_create(
        models.GuideOpens(guide=guide, day=day, what="page", times=3) for guide in guides
    )


def _roasts(count: int) -> None:
    green = models.GreenLot.objects.create(name=f"Green {uuid.uuid4()}"[:40], mass_kg=600)
    models.Roast.objects.bulk_create(
        models.Roast(
            name=f"R {uuid.uuid4()}"[:40],
            green_lot=green,
            roasted_on=timezone.localdate() - timedelta(days=number),
            green_kg=12,
            roasted_kg=10,
        )
        for number in range(count)
    )


def _brewers(count: int) -> None:
    vessels = factories.VesselFactory.build_batch(count)
    models.Vessel.objects.bulk_create(vessels)
    models.Brewer.objects.bulk_create(
        factories.BrewerFactory.build(vessel=vessel, paper=None, outflow="open") for vessel in vessels
    )


def _packing_runs(count: int) -> None:
    versions = busy_site(count, count, coffees=count)
    packer = factories.UserFactory(role="packer")
    lots = {lot.coffee_id: lot for lot in models.Lot.objects.all()}
    models.PackingRun.objects.bulk_create(
        factories.PackingRunFactory.build(bag=(lots[version.guide.coffee_id], version), ordered_by=packer)
        for version in versions
    )


def _dispatches(count: int) -> None:
    by, lots = factories.UserFactory(), factories.LotFactory.create_batch(min(count, 20))
    models.Dispatch.objects.bulk_create(
        models.Dispatch(lot=lots[number % len(lots)], outlet="shelf", bags=1, recorded_by=by) for number in range(count)
    )


def _lot_checks(count: int) -> None:
    by, lot = factories.UserFactory(), factories.LotFactory()
    read = {"bag_text": lot.name, "insert_text": lot.name, "bag": lot, "insert": lot, "answer": "same"}
    models.LotCheck.objects.bulk_create(models.LotCheck(by=by, **read) for _ in range(count))


def _questions(count: int) -> None:
    (version,) = busy_site(1, 1, coffees=1)
    models.Question.objects.bulk_create(
        models.Question(version=version, text=f"Why {number}?", language="en") for number in range(count)
    )


def _home_brews(count: int) -> None:
    (version,) = busy_site(1, 1, coffees=1)
    models.HomeBrew.objects.bulk_create(
        models.HomeBrew(version=version, language="en", dose_g=15, grind_um=700, brewer="Cone", text=f"Brew {number}")
        for number in range(count)
    )


def _tastings(count: int) -> None:
    by, start = factories.UserFactory(), models.Tasting.objects.count()
    models.Tasting.objects.bulk_create(
        models.Tasting(number=str(100_000 + start + n), title=f"Crops {n}", opened_by=by) for n in range(count)
    )


def _pictures_of_coffees(count: int) -> None:
    for coffee in factories.CoffeeFactory.create_batch(count):
        models.CoffeePicture.objects.create(coffee=coffee, alt={"en": "A bag."}, **_FILE)


def _steps(count: int) -> list[models.Step]:
    version = factories.GuideVersionFactory()
    row = {"version": version, "start_s": 0, "end_s": 0, "action": "swirl"}
    return models.Step.objects.bulk_create(models.Step(position=100 + place, **row) for place in range(count))


def _pictures_of_steps(count: int) -> None:
    rows = (models.StepPicture(step=step, alt={"en": "A wet bed."}, **_FILE) for step in _steps(count))
    models.StepPicture.objects.bulk_create(rows)


def _clips(count: int) -> None:
    clip = {"file": "clip.mp4", "file_sha256": "0" * 64, "size": 1000, "seconds": 4, "captions": {"en": "clip.vtt"}}
    rows = (models.StepClip(step=step, alt={"en": "Circles."}, **clip, **_FILE) for step in _steps(count))
    models.StepClip.objects.bulk_create(rows)


# A row needs no file behind it to stand in a list.
_FILE = {"name": "drawn", "sha256": "0" * 64, "width": 640, "height": 420, "widths": [320, 640]}


def _tokens(count: int) -> None:
    by, start = factories.UserFactory(), models.ApiToken.objects.count()
    models.ApiToken.objects.bulk_create(
        models.ApiToken(name="shop", scopes=["evidence"], digest=f"{start + number:064}", created_by=by)
        for number in range(count)
    )


def _webhooks(count: int) -> None:
    by = factories.UserFactory()
    models.Webhook.objects.bulk_create(
        models.Webhook(url="https://shop.example/", about=["lot.recalled"], created_by=by) for _ in range(count)
    )


def _user_of_a_group(count: int) -> None:
    reader = Group.objects.get(name="reader")
    for user in factories.UserFactory.create_batch(count):
        user.groups.add(reader)


MAKE: dict[type[Model], Callable[[int], None]] = {
    models.Coffee: _plain(factories.CoffeeFactory),
    models.Vessel: _plain(factories.VesselFactory),
    models.Grinder: lambda count: _made(factories.GrinderFactory, count),
    models.Brewer: _brewers,
    models.Paper: _rows(models.Paper, name=lambda n: f"Paper {n}"),
    models.ValveBase: _rows(models.ValveBase, name=lambda n: f"Base {n}"),
    models.GreenLot: _rows(models.GreenLot, name=lambda n: f"Green {n}", mass_kg=lambda n: 60),
    models.Roast: _roasts,
    models.Lot: _lots,
    models.Guide: _guides,
    models.GuideVersion: _guides,
    models.TrialBrew: _brews,
    models.PackingRun: _packing_runs,
    models.Address: _addresses,
    models.Dispatch: _dispatches,
    models.LotCheck: _lot_checks,
    models.Event: _events,
    models.Question: _questions,
    models.GuideOpens: _opens,
    models.HomeBrew: _home_brews,
    models.Tasting: _tastings,
    models.CoffeePicture: _pictures_of_coffees,
    models.StepPicture: _pictures_of_steps,
    models.StepClip: _clips,
    models.JobRun: _rows(models.JobRun, kind=lambda n: "inserts_of_version"),
    models.ApiToken: _tokens,
    models.Webhook: _webhooks,
    models.User: _user_of_a_group,
    Group: _rows(Group, name=lambda n: f"Group {n}"),
    AccessAttempt: _rows(AccessAttempt, username=lambda n: f"somebody-{n}", failures_since_start=lambda n: 1),
    AccessLog: _rows(AccessLog, username=lambda n: f"somebody-{n}"),
    AccessFailureLog: _rows(AccessFailureLog, username=lambda n: f"somebody-{n}"),
    DBTaskResult: _rows(
        DBTaskResult,
        args_kwargs=lambda n: {"args": [], "kwargs": {}},
        task_path=lambda n: "guides.jobs.tasks.perform",
        backend_name=lambda n: "default",
        run_after=lambda n: timezone.now(),
    ),
}


def _made(factory: Any, count: int) -> None:
    factory.create_batch(count)


def _maker(model: type[Model]) -> Callable[[int], None]:
    """What fills a list: named above, else the model's own factory."""
    own = getattr(factories, f"{model.__name__}Factory", None)
    assert model in MAKE or own, f"Say in MAKE how rows of {model.__name__} come about, or give it a factory."
    return MAKE.get(model) or (lambda count: _made(own, count))


@pytest.mark.parametrize(
    "model", [model for model in admin.site._registry if model not in SINGLE], ids=lambda m: m.__name__
)
def test_a_list_costs_no_more_for_three_hundred_rows_than_for_one(at_desk, model):
    desk = at_desk(factories.UserFactory(is_superuser=True))
    address = reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_changelist")
    desk.get(address)  # content types are looked up once and kept
    counts, made = [], 0
    for wanted in (1, 3, 300):
        _maker(model)(wanted - made)
        know_sizes()
        made = wanted
        with CaptureQueriesContext(connection) as captured:
            assert desk.get(address).status_code == 200
        counts.append(len(captured))
    assert model._default_manager.count() >= 300
    assert counts[0] == counts[1] == counts[2], counts


def test_a_list_that_asks_for_each_row_would_be_noticed(at_desk, monkeypatch):
    """Negative control."""
    monkeypatch.setattr(admin.site._registry[models.Roast], "list_select_related", False)
    monkeypatch.setattr(admin.site._registry[models.Roast], "list_display", ("name", "asked_each"))
    monkeypatch.setattr(
        type(admin.site._registry[models.Roast]), "asked_each", lambda self, roast: roast.green_lot.name, raising=False
    )
    with pytest.raises(AssertionError):
        test_a_list_costs_no_more_for_three_hundred_rows_than_for_one(at_desk, models.Roast)
