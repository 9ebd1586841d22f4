"""What tests of commands may use."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def backups(tmp_path: Path) -> Path:
    """The folder that backups go to."""
    folder = tmp_path / "backups"
    folder.mkdir()
    return folder
