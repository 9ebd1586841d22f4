"""What an earlier bag's grind was beside this one's."""

import pytest

from guides.presenters.last_bag import since
from tests.public import world

pytestmark = pytest.mark.django_db


@pytest.fixture
def revisions():
    first = world.coffee_with_guide(grind_um=660)
    second = world.next_revision(first, grind_um=660, change_note="Words.")
    third = world.next_revision(second, grind_um=600, change_note="The new crop runs faster.")
    return first, second, third


def test_each_earlier_grind_is_compared_with_the_notes_since(revisions):
    first, second, newest = revisions
    found = since(newest, [second, first], "en")
    assert [(line.revision, line.grind.replace("\xa0", " "), line.notes) for line in found] == [
        (2, "60 μm finer", ("The new crop runs faster.",)),
        (1, "60 μm finer", ("Words.", "The new crop runs faster.")),
    ]


def test_an_equal_grind_is_not_mentioned(revisions):
    first, second, _third = revisions
    assert since(second, [first], "en") == ()
