"""Recomputes every published guide and reports what has moved."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from guides.lifecycle.verify import verify
from guides.queries import versions


class Command(BaseCommand):
    help = "Check every published guide version against its hash, its rows and today's formulas."

    def handle(self, *args: Any, **options: Any) -> None:
        count = wrong = moved = 0
        for version in versions.numbered().iterator(chunk_size=50):
            count += 1
            for drift in verify(version):
                wrong, moved = wrong + (not drift.expected), moved + drift.expected
                self.stdout.write(f"guide {version.guide.number}, revision {version.revision}: {drift}")
        self.stdout.write(f"{count} published versions checked, {moved} numbers moved with the formulas.")
        if wrong:
            raise CommandError(
                f"{wrong} findings that no newer formula explains: somebody or something changed what is printed. "
                "Restore the rows above from a backup taken before."
            )
