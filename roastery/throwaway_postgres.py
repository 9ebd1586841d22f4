"""A PostgreSQL for one run of the tests: made in a temporary folder, reached by a socket, gone afterwards."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

from roastery import machine

# What makes a crash harmless also makes it slow; nothing here is worth keeping.
_QUICK = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c listen_addresses=''"


@contextlib.contextmanager
def running() -> Iterator[str]:
    """Start a cluster and yield the address of a database in it.

    Raises:
        subprocess.CalledProcessError: The cluster did not start; its output says why.
    """
    folder = Path(tempfile.mkdtemp(prefix="guides-postgres-"))
    owner = _owner()
    shutil.chown(folder, owner, pwd.getpwnam(owner).pw_gid)
    cluster = folder / "cluster"
    try:
        _run("initdb", owner, "-D", cluster, "-U", "guides", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        _run("pg_ctl", owner, "-D", cluster, "-l", folder / "log", "-w", "-o", f"{_QUICK} -k {folder}", "start")
        try:
            yield f"postgres://guides@{quote(str(folder), safe='')}/postgres"
        finally:
            _run("pg_ctl", owner, "-D", cluster, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _owner() -> str:
    """Return who may run a server: whoever runs this, but PostgreSQL refuses to be run by root."""
    if os.geteuid() != 0:
        return pwd.getpwuid(os.geteuid()).pw_name
    return "postgres" if any(entry.pw_name == "postgres" for entry in pwd.getpwall()) else "nobody"


def _run(program: str, owner: str, *arguments: str | Path) -> None:
    path = machine.postgres_program(program)
    if path is None:
        raise FileNotFoundError(f"{program} of PostgreSQL is not installed.")
    account = pwd.getpwnam(owner)
    becoming: dict[str, Any] = {}
    if os.geteuid() == 0:
        becoming = {"user": account.pw_uid, "group": account.pw_gid, "extra_groups": []}
    command = [path, *map(str, arguments)]
    subprocess.run(command, check=True, cwd="/", stdout=subprocess.DEVNULL, **becoming)  # noqa: S603
