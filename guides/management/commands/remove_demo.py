"""Takes the demo away, so that a site can begin empty."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection, transaction

from guides.exchange import stored_files
from guides.models import triggers
from guides.queries import contents
from guides.queries.contents import Contents


class Command(BaseCommand):
    help = "Remove the demo: every row, picture and paper of a database that holds the demo, and of no other."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-input", action="store_false", dest="interactive", help="Do not ask first.")

    def handle(self, *args: Any, interactive: bool, **options: Any) -> None:
        if contents.found() is not Contents.DEMO:
            raise CommandError(
                f"There is no demo in this database, which holds {contents.found().value}. Nothing was removed."
            )
        if interactive and input("Remove the demo and all that was added to it? Type yes: ").strip() != "yes":
            raise CommandError("Nothing was removed.")
        with transaction.atomic():
            # Published rows and codes are permanent everywhere but here.
            triggers.remove(connection)
            call_command("flush", interactive=False, verbosity=0)
        removed = stored_files.remove_all()
        self.stdout.write(f"The demo is gone: every row and {removed} files.")
