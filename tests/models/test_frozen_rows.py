"""What is published or permanent never changes, whoever asks and however."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction

from guides.choices import State
from guides.lifecycle import address
from guides.models import GuideVersion, triggers
from guides.models.base import FrozenRow

from . import attacks
from .frozen import Frozen, fingerprint, guards_off, set_down

pytestmark = [pytest.mark.django_db, pytest.mark.data]


@pytest.fixture
def frozen() -> Frozen:
    return set_down()


def succeeds(attack: attacks.Attack, frozen: Frozen) -> bool:
    """Try an attack and take it back; only the guard's own refusal counts as a failure."""
    before = fingerprint(frozen)
    with transaction.atomic():
        try:
            with transaction.atomic():
                attack(frozen)
        except DatabaseError as error:
            if triggers.MESSAGE not in str(error):
                raise
            return False
        changed = fingerprint(frozen) != before
        transaction.set_rollback(True)
    return changed


def test_no_attack_succeeds(frozen: Frozen) -> None:
    tried = attacks.of(connection.vendor)
    through = [name for name, attack in tried.items() if succeeds(attack, frozen)]
    print(f"{connection.vendor}: {len(tried)} attacks, {len(through)} succeeded")
    assert through == []


def test_every_attack_succeeds_with_the_guards_off(frozen: Frozen) -> None:
    guards_off()
    tried = attacks.of(connection.vendor)
    through = [name for name, attack in tried.items() if succeeds(attack, frozen)]
    assert through == list(tried)


def test_withdrawing_is_the_one_change(frozen: Frozen) -> None:
    withdrawn = {
        "state": State.WITHDRAWN,
        "withdrawn_at": frozen.version.published_at,
        "withdrawn_by": frozen.version.published_by,
        "withdrawn_reason": "The valve leaks.",
    }
    rows = GuideVersion.objects.filter(pk=frozen.version.pk)
    assert rows.update(**withdrawn) == 1
    for change in ({"withdrawn_reason": "Other"}, {"state": State.PUBLISHED}, {"replacement": frozen.version.guide}):
        with pytest.raises(DatabaseError, match=triggers.MESSAGE), transaction.atomic():
            rows.update(**change)


def test_a_draft_beside_it_is_free(frozen: Frozen) -> None:
    frozen.draft.title = "Outer Mark, coarser"
    frozen.draft.save()
    frozen.draft.steps.first().delete()
    frozen.draft.delete()
    assert set(frozen.version.guide.versions.all()) == {frozen.version, frozen.bare}


def test_saving_it_unchanged_is_no_change(frozen: Frozen) -> None:
    before = fingerprint(frozen)
    GuideVersion.objects.get(pk=frozen.version.pk).save()
    assert fingerprint(frozen) == before


def test_people_are_told_why(frozen: Frozen) -> None:
    frozen.version.dose_g = 20
    with pytest.raises(FrozenRow, match=r"printed on bags.*dose.*Open the next draft"):
        frozen.version.save()
    frozen.version.refresh_from_db()
    for part in (frozen.step, frozen.version_text, frozen.step_text):
        with pytest.raises(FrozenRow, match="printed on bags"):
            part.save()
        with pytest.raises(FrozenRow, match="printed on bags"):
            part.delete()
    with pytest.raises(FrozenRow, match="withdraw it instead"):
        frozen.version.delete()
    frozen.version.guide.number += 1
    with pytest.raises(FrozenRow, match=r"Number: .* is printed on inserts"):
        frozen.version.guide.save()
    for record in (frozen.address, frozen.event, frozen.sign_off):
        with pytest.raises(FrozenRow, match="permanent record"):
            record.save()
        with pytest.raises(FrozenRow, match="permanent record"):
            record.delete()


def test_a_refusal_is_a_validation_error() -> None:
    """So that a form shows it instead of a broken page."""
    assert issubclass(FrozenRow, ValidationError)


def test_a_lot_keeps_its_codes(frozen: Frozen) -> None:
    second = address.issue(frozen.lot)
    assert set(frozen.lot.addresses.all()) == {frozen.address, second}
