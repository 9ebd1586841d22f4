"""How often guides were opened, day by day: numbers alone."""

from django.contrib import admin

from guides.models import GuideOpens

from .desk import Desk, ReadOnly
from .period import by_period


@admin.register(GuideOpens)
class GuideOpensAdmin(ReadOnly, Desk):
    list_display = ("day", "guide", "what", "times")
    list_filter = ("what", by_period("day"), "guide")
    list_select_related = ("guide",)
