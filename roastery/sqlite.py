"""How SQLite is opened: one writer at a time, decided at BEGIN, on a journal that is sound in this version."""

from __future__ import annotations

import sqlite3
from typing import Any

# Versions in which the write-ahead log's reset can lose a commit have the rollback journal instead.
_WAL_FIXED = ((3, 51, 3), (3, 50, 7), (3, 44, 6))


def journal_mode(version: tuple[int, int, int] = sqlite3.sqlite_version_info[:3]) -> str:
    """Return ``WAL`` where this SQLite has the fix for the WAL-reset bug, else ``DELETE``.

    Fixed in 3.51.3 and later, and in the 3.50 and 3.44 lines from 3.50.7 and 3.44.6.
    """
    fixed = version >= _WAL_FIXED[0] or any(version[:2] == fix[:2] and version >= fix for fix in _WAL_FIXED)
    return "WAL" if fixed else "DELETE"


def tuned(config: Any) -> Any:
    """Return a database config with our SQLite options; any other engine's config unchanged."""
    if not config["ENGINE"].endswith("sqlite3"):
        return config
    mode = journal_mode()
    synchronous = "NORMAL" if mode == "WAL" else "FULL"
    # What is deleted is overwritten: somebody's question must not stay behind in the file's free pages.
    return {
        **config,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            # Who waits is not served in turn: of twenty who publish at once on a busy machine, one waited longer than
            # 20 s. A proxy mostly gives up after 60.
            "timeout": 50,
            "init_command": f"PRAGMA journal_mode={mode};PRAGMA synchronous={synchronous};PRAGMA secure_delete=ON;",
        },
    }
