"""Whether this database holds nothing yet, the demo, or a roastery's own work."""

from __future__ import annotations

from enum import Enum

from django.apps import apps
from django.db import connection
from django.db.models import Model

from guides.models import ChangeMark, PageStamp, Roastery
from guides.models.base import Passing


class Contents(Enum):
    NOTHING = "nothing yet"
    DEMO = "the demo"
    OWN_WORK = "a roastery's own work"


def found(besides: tuple[type[Model], ...] = ()) -> Contents:
    """Tell what the database holds, not counting some models; one without tables holds nothing."""
    tables = set(connection.introspection.table_names())
    models = [model for model in apps.get_app_config("guides").get_models() if model._meta.db_table in tables]
    if Roastery in models and Roastery.objects.filter(is_demo=True).exists():
        return Contents.DEMO
    written = (model for model in models if not issubclass(model, (Passing, ChangeMark, PageStamp, *besides)))
    filled = any(model._default_manager.exists() for model in written)
    return Contents.OWN_WORK if filled else Contents.NOTHING
