"""``manage.py first_admin --password-file FILE``"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError

from guides.models import User


class Command(BaseCommand):
    help = "Make the first administrator of an empty site; where there is one already, nothing is done."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--username", default="admin", help="Whom to make (admin).")
        parser.add_argument("--password-file", type=Path, required=True, help="A file with the password in it.")

    def handle(self, *args: Any, username: str, password_file: Path, **options: Any) -> str:
        if User.objects.filter(is_superuser=True).exists():
            return "There is an administrator already."
        try:
            password = password_file.read_text().strip()
        except OSError as error:
            raise CommandError(f"{password_file} cannot be read: {error.strerror}.") from error
        user = User(username=username, is_staff=True, is_superuser=True)
        try:
            validate_password(password, user)
            user.set_password(password)
            user.full_clean()
        except ValidationError as error:
            raise CommandError(" ".join(["No administrator was made.", *error.messages])) from error
        user.save()
        return f"{username} may log in at /admin/ with the password in {password_file}. Change it there."
