"""What tests of commands may use."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from .killing import FILL
from .site import Site


@pytest.fixture
def backups(tmp_path: Path) -> Path:
    """The folder that backups go to."""
    folder = tmp_path / "backups"
    folder.mkdir()
    return folder


@pytest.fixture
def site_with_inserts(new_site: Callable[[], Site]) -> Site:
    """A site of its own that holds what inserts are made of."""
    site = new_site()
    site.set_up()
    site.run(FILL)
    return site
