"""Memory of a web process after 10,000 requests of every kind, beside what it held after the first of them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import cycle, islice
from pathlib import Path

from tests.benchmarks.measuring import Line, at_most

from .served import Link, Served, serving

REQUESTS, WARM = 10_000, 2_000
FLAT = 1.05
PAGES = """
import json, os
from tests.budgets.sizes import addresses
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from guides.models import User
boss = User.objects.create(username="walker", is_staff=True, is_superuser=True)
session = SessionStore()
session[SESSION_KEY], session[HASH_SESSION_KEY] = str(boss.pk), boss.get_session_auth_hash()
session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
session.save()
paths = [*addresses().values(), "/nowhere", "/api/v1/guides", "/api/v1/coffees", "/sitemap.xml", "/en/new.xml"]
paths += [f"/L/{'A' * number}" for number in range(20)]
desk = [f"/admin/guides/{model}/" for model in ("lot", "guide", "guideversion", "trialbrew", "event", "question")]
print(json.dumps({"public": paths, "desk": ["/admin/", *desk], "session": session.session_key}))
"""


def run(site: Served) -> Iterator[Line]:
    """Ask one process for everything in turn."""
    told = json.loads(site.run(PAGES))
    with serving(site, 1) as server, Link(server.port) as link:
        (pid,) = server.workers()
        sizes = []
        mixed = islice(cycle([*told["public"], *told["public"], *told["desk"]]), REQUESTS)
        for number, path in enumerate(mixed, start=1):
            cookie = f"sessionid={told['session']}" if "/admin/" in path else ""
            answer = link.ask(path, cookie=cookie)
            assert answer.status in (200, 404), f"{path}: {answer.status}"
            if number % (REQUESTS // 10) == 0:
                sizes.append(_kilobytes(pid))
        assert [pid] == server.workers(), "the process was replaced"
    warm = sizes[WARM // (REQUESTS // 10) - 1]
    yield Line(f"memory after {WARM} requests", f"{warm / 1000:.0f} MB")
    yield at_most(f"memory after {REQUESTS} requests beside that", sizes[-1] / warm, FLAT)


def _kilobytes(pid: int) -> int:
    """Give what a process holds for itself (PSS: what it shares is counted in shares)."""
    rollup = Path(f"/proc/{pid}/smaps_rollup").read_text()
    return next(int(line.split()[1]) for line in rollup.splitlines() if line.startswith("Pss:"))
