"""``manage.py reset_second_factor USERNAME``"""

from __future__ import annotations

import logging
from argparse import ArgumentParser
from typing import Any

from axes.utils import reset
from django.core.management import BaseCommand, CommandError

from guides.admin.second_factor import take_off
from guides.models import User

logger = logging.getLogger(__name__)


class Command(BaseCommand):
    help = "Let somebody in again whose phone and recovery codes are gone, or who is locked out after wrong passwords."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="Whose second factor is taken off.")

    def handle(self, *args: Any, username: str, **options: Any) -> str:
        user = User.objects.filter(username=username).first()
        if user is None:
            known = ", ".join(
                User.objects.filter(is_staff=True).values_list("username", flat=True).order_by("username")
            )
            raise CommandError(f"Nobody here is called {username!r}. There are: {known}.")
        had = take_off(user, "By command, on the server.")
        reset(username=username)
        logger.warning("The second factor of user %s was taken off by command.", user.pk)
        done = "has no second factor any more" if had else "had no second factor"
        return f"{username} {done}; wrong passwords are forgotten. The password alone lets them in."
