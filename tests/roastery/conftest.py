"""A site to ask from outside."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from django.conf import settings


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What the environment says of an empty site of its own, with its tables made and its own files collected."""
    environment = {"DATA_DIR": str(tmp_path_factory.mktemp("site"))}
    collect = ["collectstatic", "--no-input", "--ignore", "admin", "--ignore", "rest_framework"]
    for command in (["migrate"], collect):
        subprocess.run(
            [sys.executable, "manage.py", *command, "--verbosity", "0"],
            cwd=settings.BASE_DIR,
            env={"PATH": os.environ["PATH"], "DEBUG": "1", **environment},
            check=True,
        )
    return environment
