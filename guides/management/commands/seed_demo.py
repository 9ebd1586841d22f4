"""Fill an empty demo site with the invented world it shows."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from guides.management.demo import guides, questions, sites, stories, tasters, world
from guides.models import Coffee, Roastery, User


class Command(BaseCommand):
    help = (
        "Fill an empty demo site with an invented roastery: its staff, coffees, lots, gear and published guides. "
        "Run again it changes nothing. It refuses a site that holds anything else, and a site that is not a demo."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        if not (settings.DEMO or settings.DEBUG):
            raise CommandError("This is not a demo site. Set DEMO=1, with a database of its own, to seed one.")
        with transaction.atomic():
            roastery = Roastery.objects.first()
            if roastery is not None and roastery.is_demo:
                self.stdout.write(f"{roastery.name} is here already; nothing was changed.")
                return
            if roastery is not None or Coffee.objects.exists() or User.objects.exists():
                raise CommandError("This database is in use. The demo goes into an empty one; nothing was changed.")
            today = timezone.localdate()
            world.build(today)
            guides.build(today)
            stories.play(today)
            questions.play(today)
            sites.open_training_room(today)
            tasters.play(today)
        self.stdout.write("Mossgull Roasting Room is open: six lots, six guides.")
