"""Contrast against published values."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings

from guides.presenters import contrast


@pytest.mark.parametrize(
    ("grey", "expected"),
    # W3C, Understanding Success Criterion 1.4.3: #767676 on white is 4.54 : 1 and passes, #777777 is 4.48 and does not
    # (both from memory).
    [("#767676", 4.54), ("#777777", 4.48), ("#ffffff", 1.0), ("#000000", 21.0)],
)
def test_against_white(grey, expected):
    assert contrast.ratio(grey, "#ffffff") == pytest.approx(expected, abs=0.01)
    assert contrast.ratio("#ffffff", grey) == contrast.ratio(grey, "#ffffff")


def test_the_paper_is_that_of_the_pages():
    tokens = Path(settings.BASE_DIR, "static/css/tokens.css").read_text()
    assert re.search(r"--paper: (#[0-9a-f]{6})", tokens)[1] == contrast.PAPER
