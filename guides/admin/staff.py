"""Who works here and what they may do."""

from __future__ import annotations

from django import forms
from django.contrib import admin
from django.contrib.auth.admin import GroupAdmin as StockGroupAdmin
from django.contrib.auth.admin import UserAdmin as StockUserAdmin
from django.contrib.auth.models import Group
from django.db.models import Exists, ManyToManyField, OuterRef, QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _
from django_otp.plugins.otp_static.admin import StaticDevice
from django_otp.plugins.otp_totp.admin import TOTPDevice

from guides.models import User

admin.site.unregister(Group)
# Their pages show keys; people set theirs up themselves (``second_factor.py``).
admin.site.unregister([TOTPDevice, StaticDevice])


@admin.register(User)
class UserAdmin(StockUserAdmin):
    """Work is given by groups; who has left is made inactive and stays in the history."""

    actions = None
    list_display = ("username", "first_name", "last_name", "work", "second_factor", "is_active")
    list_filter = ("groups", "is_active", "is_superuser")
    filter_horizontal = ()
    readonly_fields = ("last_login", "date_joined")
    formfield_overrides = {ManyToManyField: {"widget": forms.CheckboxSelectMultiple}}
    fieldsets = (
        (None, {"fields": ("username", "password")}),
        (_("Person"), {"fields": (("first_name", "last_name"), ("email", "language"))}),
        (_("Work"), {"fields": ("is_active", "is_staff", "groups", "is_superuser")}),
        (_("Dates"), {"fields": (("last_login", "date_joined"),)}),
    )
    add_fieldsets = (
        (None, {"fields": ("username", "usable_password", "password1", "password2", "is_staff", "groups")}),
    )

    def has_delete_permission(self, request: HttpRequest, obj: User | None = None) -> bool:
        return False  # what somebody did stays, with their name; looking all of it up to say so takes half a minute

    def get_queryset(self, request: HttpRequest) -> QuerySet[User]:
        has = Exists(TOTPDevice.objects.filter(user=OuterRef("pk"), confirmed=True))
        return super().get_queryset(request).prefetch_related("groups").annotate(has_second_factor=has)

    @admin.display(description=_("second factor"), boolean=True)
    def second_factor(self, user: User) -> bool:
        return bool(getattr(user, "has_second_factor", False))

    @admin.display(description=_("groups"))
    def work(self, user: User) -> str:
        return ", ".join(group.name for group in user.groups.all())


@admin.register(Group)
class GroupAdmin(StockGroupAdmin):
    actions = None
    filter_horizontal = ()
