"""Help whose lines stay as they were written."""

from __future__ import annotations

from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.core.management import BaseCommand
from django.core.management.base import CommandParser, DjangoHelpFormatter


class _AsWritten(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    pass


class ExplainedCommand(BaseCommand):
    """A command whose help has paragraphs and examples."""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(prog_name, subcommand, formatter_class=_AsWritten, **kwargs)
