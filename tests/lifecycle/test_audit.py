"""Whatever is done by somebody leaves a line behind: who, when, why. A new act without one fails here."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterator

import pytest
from django.db import DatabaseError, transaction

from guides import lifecycle
from guides.lifecycle import approve, audit, lots
from guides.models import Event, GuideVersion
from guides.models.base import FrozenRow
from tests.factories import CoffeeFactory, LotFactory, UserFactory

from .test_roles import ACTS

# Halves of an act, whose other half is recorded where it is called; each with why.
HALVES = {
    "moving.begin": "takes hold of a version before any move",
    "packing.moves.begin": "takes hold of a run before any move",
    "packing.moves.begin_file": "takes hold of the runs of a file before any move",
    "packing.moves.move": "writes the line",
    "packing.order.write_down": "writes the line of order and order_together",
    "questions.moves.begin": "takes hold of a question before any act",
    "questions.moves.record": "writes the line",
    "audit.record": "writes the line",
    "audit.record_each": "writes the lines",
    "lots.make_printable": "writes the lines of register and bring_in",
    "lot_check.check": "its own row, as permanent, is the line; tests/lifecycle/test_lot_check.py tries who may",
    "publish.publish_words": "the second half of words_only.publish",
    "writers.record_edit": "what was edited is in the log of saves",
    "translate.write": "a save of the draft, in the log of saves like the form's own",
    "draft.record_created": "writes the line for a first version, whose form has been saved",
}


def acts() -> Iterator[str]:
    """Public functions of the room that are told who acts: ``file.function``, or the file where both are the same."""
    start = f"{lifecycle.__name__}."
    for module in pkgutil.walk_packages(lifecycle.__path__, start):
        room, file = importlib.import_module(module.name), module.name.removeprefix(start)
        for name, function in inspect.getmembers(room, inspect.isfunction):
            by = inspect.signature(function).parameters.get("by")
            own = function.__module__ == room.__name__ and not name.startswith("_")
            if own and by is not None and by.kind is inspect.Parameter.KEYWORD_ONLY:
                yield file if file.split(".")[-1] == name else f"{file}.{name}"


def test_every_act_is_tried() -> None:
    """``test_every_act_knows_who_may`` performs each of these and sees a line of the trail; add a row there."""
    tried = {name if "." in name else name.split(".")[-1] for name in ACTS}
    missing = [name for name in acts() if name not in HALVES and not {name, name.split(".")[-1]} & tried]
    assert missing == [], "Acts without a row in tests/lifecycle/test_roles.py::ACTS"


def test_what_is_excused_exists() -> None:
    assert set(HALVES) <= set(acts())


@pytest.mark.django_db
def test_an_act_without_a_line_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Negative control: with the trail cut, the walk over all acts would fail."""
    for name in ("record", "record_each"):
        monkeypatch.setattr(audit, name, lambda *_arguments, **_options: None)
    by = UserFactory(role="roaster")
    lots.register(LotFactory.build(coffee=CoffeeFactory()), by=by)
    assert not Event.objects.exists()


@pytest.mark.django_db
def test_a_line_says_who_what_when_and_why(in_review: GuideVersion) -> None:
    by = UserFactory(role="publisher")
    approve.approve(in_review, by=by, waiver_reason="Brewed it at the bench.")
    waived, approved = Event.objects.filter(version_id=in_review.pk).exclude(verb="submitted").order_by("pk")
    assert (waived.verb, waived.by, waived.reason) == ("waived", by, "Brewed it at the bench.")
    assert (approved.verb, approved.by, approved.guide) == ("approved", by, in_review.guide)
    in_review.refresh_from_db()
    assert approved.at == in_review.approved_at


@pytest.mark.django_db
@pytest.mark.data
def test_a_line_stays_as_it_was_written(in_review: GuideVersion) -> None:
    line = Event.objects.get(version_id=in_review.pk)
    line.reason = "Nicer."
    with pytest.raises(FrozenRow):
        line.save()
    with pytest.raises(FrozenRow):
        line.delete()
    for attack in (Event.objects.filter(pk=line.pk).delete, lambda: Event.objects.update(reason="Nicer.")):
        with pytest.raises(DatabaseError, match="published or permanent"), transaction.atomic():
            attack()
